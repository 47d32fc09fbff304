//! What is typed: numbers, units, zones, addresses, layouts, sprays, weather and the questions.

mod address;
mod census;
mod doubt;
mod hold;
mod hold_figure;
mod layout;
mod number;
mod units;
mod weather;
mod zone;
