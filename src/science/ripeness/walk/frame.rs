//! Which vines of a block a walk may visit. Gone vines and those that do not bear never; edge rows
//! and the ends of rows only where the others are too few.
//! Not here: which of them are drawn (`draw`).

use chrono::NaiveDate;

use super::{Frame, FrameRule};
use crate::science::places::census::bearing_on;
use crate::science::places::{RowLayout, VineAddress, VineEvent};

/// Vine places left out at each end of a row. Edge rows and the first two vines of a row ripen
/// otherwise than the rest; leaving them out is the Maryland leaflet's advice.
const ENDS: usize = 2;

/// The strictest frame that holds `needed` vines, or all bearing vines, with the vines row by row
/// from the home end.
pub fn frame(
    rows: &[RowLayout],
    events: &[VineEvent],
    day: NaiveDate,
    needed: u32,
) -> (Frame, Vec<VineAddress>) {
    let bearing = bearing_on(rows, events, day);
    let mut too_few = Vec::new();
    for rule in [FrameRule::InnerRows, FrameRule::AllRows] {
        let (mut frame, vines) = framed(rule, rows, &bearing);
        if frame.eligible >= needed {
            frame.too_few = too_few;
            return (frame, vines);
        }
        too_few.push((rule, frame.eligible));
    }
    let (mut frame, vines) = framed(FrameRule::AllVines, rows, &bearing);
    frame.too_few = too_few;
    (frame, vines)
}

fn framed(
    rule: FrameRule,
    rows: &[RowLayout],
    bearing: &[VineAddress],
) -> (Frame, Vec<VineAddress>) {
    let edge = |place: usize| place == 0 || place + 1 == rows.len();
    let is_out = |place: usize| rule == FrameRule::InnerRows && edge(place);
    let labels = |wanted: bool| -> Vec<String> {
        rows.iter()
            .enumerate()
            .filter(|(place, _)| is_out(*place) != wanted)
            .map(|(_, row)| row.label.clone())
            .collect()
    };
    let inside: Vec<VineAddress> = rows
        .iter()
        .enumerate()
        .filter(|(place, _)| !is_out(*place))
        .flat_map(|(_, row)| without_ends(rule, row))
        .collect();
    let vines: Vec<VineAddress> = inside
        .iter()
        .filter(|at| bearing.contains(at))
        .cloned()
        .collect();
    let frame = Frame {
        rule,
        rows: labels(true),
        left_out: labels(false),
        positions: count(&inside),
        eligible: count(&vines),
        too_few: Vec::new(),
    };
    (frame, vines)
}

fn without_ends(rule: FrameRule, row: &RowLayout) -> Vec<VineAddress> {
    let all: Vec<VineAddress> = row.addresses().collect();
    match rule {
        FrameRule::AllVines => all,
        FrameRule::InnerRows | FrameRule::AllRows => {
            let last = all.len().saturating_sub(ENDS);
            all.get(ENDS..last).map(<[_]>::to_vec).unwrap_or_default()
        }
    }
}

fn count(vines: &[VineAddress]) -> u32 {
    u32::try_from(vines.len()).unwrap_or(u32::MAX)
}
