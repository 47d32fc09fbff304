//! Typed text whatever the room: numbers, units, zones.
//! Not here: what a room makes of it (`places`, `ripeness`, `sprays`, `weather`).

mod number;
mod units;
mod zone;
