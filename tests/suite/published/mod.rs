//! The sums against the outside: published tables, worked examples, other programs.
//! Tables lie in tests/published, worked cases in tests/golden.

mod acid;
mod alcohol;
mod density;
mod figure;
mod golden;
mod laws;
mod sampling;
mod stories;
mod table;
mod temperature;
