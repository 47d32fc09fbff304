//! Draws the vines of a walk from its frame: at even distances along the rows from a random start,
//! so that each is as likely as the others and none is chosen by eye.
//! Not here: which vines may be drawn (`frame`), how many (`how_many`).

use chrono::NaiveDate;

use super::dice::Dice;
use super::frame::frame;
use super::how_many::HowMany;
use super::{ReadAt, Side, Walk, WalkStop};
use crate::science::places::{RowLayout, VineAddress, VineEvent};

/// Vines held in reserve.
pub const SPARES: u32 = 3;

/// What somebody wants of a walk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wishes {
    pub read: ReadAt,
    pub wanted: Option<f64>,
    pub how_many: Option<HowMany>,
    pub stops: u32,
    /// Berries taken from each vine.
    pub berries: u16,
}

/// Draws up a walk through the rows of a block as they are on a day. The same seed gives the same
/// vines. A block with fewer vines than stops gives them all.
pub fn draw_up(
    asked: &Wishes,
    rows: &[RowLayout],
    events: &[VineEvent],
    day: NaiveDate,
    seed: u32,
) -> Walk {
    let needed = asked.stops.saturating_add(SPARES);
    let (frame, vines) = frame(rows, events, day, needed);
    let mut dice = Dice::new(u64::from(seed));
    let along = serpentine(vines);
    let (stops, rest) = at_even_distances(along, asked.stops, &mut dice);
    let (spares, _) = at_even_distances(rest, SPARES, &mut dice);
    let first_side = dice.below(2);
    // The rows between may be left out now: the way turns round in each that is left.
    let stops = serpentine(in_rows(stops, rows));
    let mut sides = (first_side..).map(|number| match number % 2 {
        0 => Side::Left,
        _ => Side::Right,
    });
    let mut with_sides = |vines: Vec<VineAddress>| -> Vec<WalkStop> {
        vines
            .into_iter()
            .zip(sides.by_ref())
            .map(|(at, side)| WalkStop { at, side })
            .collect()
    };
    Walk {
        read: asked.read,
        wanted: asked.wanted,
        how_many: asked.how_many,
        berries: asked.berries,
        frame,
        stops: with_sides(stops),
        spares: with_sides(spares),
    }
}

/// Up one row and down the next, from vines that stand row by row from the home end.
fn serpentine(vines: Vec<VineAddress>) -> Vec<VineAddress> {
    let rows = vines.chunk_by(|one, next| one.row == next.row);
    let mut way = Vec::with_capacity(vines.len());
    for (place, row) in rows.enumerate() {
        match place % 2 {
            0 => way.extend(row.iter().cloned()),
            _ => way.extend(row.iter().rev().cloned()),
        }
    }
    way
}

/// Row by row from the home end again.
fn in_rows(mut vines: Vec<VineAddress>, rows: &[RowLayout]) -> Vec<VineAddress> {
    let place = |at: &VineAddress| rows.iter().position(|row| row.label == at.row);
    vines.sort_by_key(|at| (place(at), at.panel, at.vine));
    vines
}

/// `wanted` of the vines at even distances from a random start, and the others; all if there are
/// no more. With N vines the start is one of N, and each vine is met from `wanted` of them.
fn at_even_distances(
    vines: Vec<VineAddress>,
    wanted: u32,
    dice: &mut Dice,
) -> (Vec<VineAddress>, Vec<VineAddress>) {
    let all = vines.len() as u64;
    let start = u64::from(dice.below(u32::try_from(all).unwrap_or(u32::MAX)));
    if all <= u64::from(wanted) {
        return (vines, Vec::new());
    }
    let mut met = (0..u64::from(wanted)).map(|number| (start + number * all) / u64::from(wanted));
    let mut next = met.next();
    let (mut drawn, mut left) = (Vec::new(), Vec::new());
    for (place, at) in (0u64..).zip(vines) {
        if next == Some(place) {
            drawn.push(at);
            next = met.next();
        } else {
            left.push(at);
        }
    }
    (drawn, left)
}
