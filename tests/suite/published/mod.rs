//! The sums against the outside: published tables, worked examples, other programs.
//! Tables lie in tests/published, worked cases in tests/golden.

mod golden;
mod stories;
