//! The running thing: options, start-up and the sums on the command line.
//! No pages and no formulas here.

pub mod figure;
