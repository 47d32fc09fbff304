//! The page "How we figure" over HTTP.
//! Not here: the sums (`published`).
