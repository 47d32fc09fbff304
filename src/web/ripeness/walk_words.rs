//! The words of a walk: which vines it is drawn from, its stops, its sum, and whether one may go in.
//! `static/walk.js` says the sum in the same words out of range; a test holds the two together.
//! Not here: the sums (`science::ripeness::walk`).

use crate::science::places::VineAddress;
use crate::science::ripeness::Walk;
use crate::science::ripeness::walk::how_many::Because;
use crate::science::ripeness::walk::running::{More, Running};
use crate::science::ripeness::walk::{Frame, FrameRule, ReadAt, Side, WalkStop};
use crate::science::sprays::Until;
use crate::web::harvest::{BlockToday, Vineyard};
use crate::web::known::Known;
use crate::web::sprays::{nobody_has_written, until_words};
use crate::web::words::{self, counted, number};

/// Which vines it is drawn from, and why these.
pub fn frame(frame: &Frame) -> String {
    let vines = counted_vines(frame.eligible);
    let before = frame.too_few.last().map(|(_, left)| counted_vines(*left));
    match (frame.rule, before) {
        (FrameRule::InnerRows, _) | (_, None) => format!(
            "Edge rows {} are left out, and the first two vines at both ends of the others: {}, {} \
             positions, {} gone or not bearing, {vines} to draw from.",
            words::list(&frame.left_out),
            counted(frame.rows.len(), "row", "rows"),
            frame.positions,
            frame.positions - frame.eligible,
        ),
        (FrameRule::AllRows, Some(left)) => format!(
            "Leaving out edge rows leaves only {left}. Using {} instead, still skipping the first \
             two vines at each end: {vines}.",
            all_rows(frame.rows.len()),
        ),
        (FrameRule::AllVines, Some(left)) => format!(
            "Leaving out the first two vines at each end leaves only {left}. Using all bearing vines \
             instead: {vines}."
        ),
    }
}

fn counted_vines(count: u32) -> String {
    match count {
        1 => "1 vine".to_owned(),
        count => format!("{count} vines"),
    }
}

fn all_rows(count: usize) -> String {
    match count {
        1 => "its one row".to_owned(),
        2 => "both rows".to_owned(),
        count => format!("all {}", counted(count, "row", "rows")),
    }
}

/// What the number of stops follows from.
pub fn how_many(walk: &Walk) -> Option<String> {
    let (sum, wanted) = (walk.how_many?, walk.wanted?);
    let (stops, brings) = (sum.stops, number(sum.half_width, 1));
    let wanted = number(wanted, 1);
    Some(match sum.because {
        Because::Wanted => format!("{stops} stops should bring ± {wanted} °Brix."),
        Because::LeastStops => format!(
            "{stops} stops, which should bring ± {brings} °Brix: fewer say too little of their own \
             spread."
        ),
        Because::MostStops => format!(
            "{stops} stops should bring ± {brings} °Brix. ± {wanted} takes more than can be walked \
             here."
        ),
    })
}

/// "B2, panel 6, vine 2"
pub fn place(at: &VineAddress) -> String {
    // On a narrow phone the line breaks between them, never within.
    format!("{}, panel\u{a0}{}, vine\u{a0}{}", at.row, at.panel, at.vine)
}

/// "left side"; berries for a bag come from both.
pub fn side(stop: &WalkStop, walk: &Walk) -> &'static str {
    match (walk.read, stop.side) {
        (ReadAt::Bags, _) if walk.berries > 1 => "both sides",
        (_, Side::Left) => "left side",
        (_, Side::Right) => "right side",
    }
}

/// "4 berries, two from each side, top of the cluster": what goes into the bag at a stop.
pub fn berries(walk: &Walk, number: usize, stop: &WalkStop) -> String {
    let all = counted_berries(walk.berries);
    let part = part(number);
    let half = usize::from(walk.berries / 2);
    match (walk.berries, stop.side) {
        (1, _) => format!("{all}, {part} of the cluster"),
        (even, _) if even % 2 == 0 => {
            let each = counted(half, "", "");
            format!(
                "{all}, {} from each side, {part} of the cluster",
                each.trim()
            )
        }
        (_, side) => {
            let (left, right) = match side {
                Side::Left => (half + 1, half),
                Side::Right => (half, half + 1),
            };
            format!("{all}, {left} from the left and {right} from the right, {part} of the cluster")
        }
    }
}

/// "20 berries from each vine, all parts of the cluster."; "4 berries from each vine, two from each
/// side: 100 in all."
pub fn from_each(walk: &Walk) -> String {
    let each = counted_berries(walk.berries);
    match walk.read {
        ReadAt::Vines => format!("{each} from each vine, all parts of the cluster."),
        ReadAt::Bags => {
            let all = walk.stops.len() * usize::from(walk.berries);
            let sides = match walk.berries {
                even if even % 2 == 0 => format!(
                    "{} from each side: {all} in all, {} from each side.",
                    counted(usize::from(even / 2), "", "").trim(),
                    all / 2
                ),
                _ => format!("both sides in turn: {all} in all."),
            };
            format!("{each} from each vine, {sides}")
        }
    }
}

fn counted_berries(count: u16) -> String {
    match count {
        1 => "1 berry".to_owned(),
        count => format!("{count} berries"),
    }
}

/// Where on the cluster the berries come from: in turn, so that no part is favoured.
pub fn part(number: usize) -> &'static str {
    match number % 3 {
        0 => "top",
        1 => "middle",
        _ => "bottom",
    }
}

/// The sum so far, and how far it is: "21.9 °Brix ± 0.7", "5 of 12 stops. Three more should bring
/// it to ± 0.5."
pub fn running(sum: Option<&Running>, stops: usize, wanted: Option<f64>) -> (String, String) {
    let Some(sum) = sum else {
        return ("No reading yet".to_owned(), format!("0 of {stops} stops."));
    };
    let value = format!(
        "{} °Brix ± {}",
        number(sum.mean, 1),
        number(sum.half_width, 1)
    );
    let mut line = format!("{} of {stops} stops.", sum.stops);
    if let (Some(more), Some(wanted)) = (sum.more, wanted) {
        let wanted = number(wanted, 1);
        line += &match more {
            More::Reached => format!(" That is within the wanted ± {wanted}."),
            More::Stops(more) => format!(
                " {} more should bring it to ± {wanted}.",
                capital(counted(more as usize, "", "").trim())
            ),
            More::OutOfReach => format!(" ± {wanted} is out of reach of a walk here."),
        };
    }
    (value, line)
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Whether one may go into the block now, as far as the house knows.
pub struct Entry {
    pub is_closed: bool,
    /// "CLOSED until Mon 6 Sept 10:40.", or what has to be asked before going in.
    pub words: String,
}

pub fn entry(one: &BlockToday, known: &Known, vineyard: &Vineyard) -> Entry {
    let entry = one.hold(known, vineyard).entry;
    let words = match &entry {
        Until::Closed { .. } | Until::ClosedUntilTyped { .. } => {
            format!("CLOSED {}. The label rules.", until_words(&entry, known))
        }
        Until::Open { .. } => format!(
            "OPEN as far as the house knew at {}: ask whether anyone has sprayed since.",
            words::clock(known.now.time())
        ),
        Until::NothingWritten => nobody_has_written(one.last_spray),
    };
    Entry {
        is_closed: entry.is_closed(),
        words,
    }
}
