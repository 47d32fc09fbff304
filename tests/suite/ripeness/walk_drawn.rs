//! Which vines a walk visits: laws for any block and any code, and the frames of Tamarack Bend.
//! Not here: the pages (`story_walk`), the sum on the way (`walk_running`).

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use endpost::science::cards::{CardCode, CodeError};
use endpost::science::places::census::bearing_on;
use endpost::science::places::{RowLayout, VineAddress, VineChange, VineEvent};
use endpost::science::ripeness::walk::dice::Dice;
use endpost::science::ripeness::walk::how_many::{Because, how_many};
use endpost::science::ripeness::walk::{FrameRule, ReadAt, Side, Walk, Wishes, draw_up};
use proptest::prelude::*;

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 9, 10).expect("a date")
}

fn rows(letter: &str, count: u16, panels: usize) -> Vec<RowLayout> {
    (1..=count)
        .map(|number| RowLayout {
            label: format!("{letter}{number}"),
            panels: vec![4; panels],
        })
        .collect()
}

fn event(address: &str, what: VineChange, bearing_from: Option<i32>) -> VineEvent {
    let mut parts = address.split('-');
    let mut next = || parts.next().expect("row, panel and vine");
    VineEvent {
        at: VineAddress {
            row: next().to_owned(),
            panel: next().parse().expect("a panel"),
            vine: next().parse().expect("a vine"),
        },
        date: NaiveDate::from_ymd_opt(2027, 5, 8).expect("a date"),
        what,
        variety: None,
        bearing_from,
    }
}

fn gone(address: &str) -> VineEvent {
    event(address, VineChange::Gone, None)
}

fn berries(stops: u32) -> Wishes {
    Wishes {
        read: ReadAt::Bags,
        wanted: None,
        how_many: None,
        stops,
        berries: 4,
    }
}

fn frontenac() -> (Vec<RowLayout>, Vec<VineEvent>) {
    let gone = ["B2-4-1", "B3-9-2", "B5-1-1", "B5-6-3", "B6-2-2"].map(gone);
    (rows("B", 6, 11), gone.to_vec())
}

#[test]
fn edge_rows_and_the_ends_are_left_out_of_frontenac() {
    let (rows, events) = frontenac();
    let walk = draw_up(&berries(25), &rows, &events, day(), 0x9_1A2B);
    assert_eq!(walk.frame.rule, FrameRule::InnerRows);
    assert_eq!(walk.frame.left_out, ["B1", "B6"]);
    assert_eq!(walk.frame.rows, ["B2", "B3", "B4", "B5"]);
    assert_eq!((walk.frame.positions, walk.frame.eligible), (160, 157));
    assert_eq!((walk.stops.len(), walk.spares.len()), (25, 3));
}

#[test]
fn a_block_too_small_for_the_rule_says_what_it_took_instead() {
    let rows = rows("E", 3, 9);
    let inner = ["E2-2-1", "E2-3-3", "E2-5-2", "E2-6-4", "E2-8-1"];
    let outer = [
        "E1-2-1", "E1-4-4", "E1-8-2", "E3-3-1", "E3-5-1", "E3-6-2", "E3-8-3",
    ];
    let ends = ["E1-1-1", "E3-9-4"];
    let events: Vec<VineEvent> = inner
        .into_iter()
        .chain(outer)
        .chain(ends)
        .map(gone)
        .collect();
    let walk = draw_up(&berries(25), &rows, &events, day(), 7);
    assert_eq!(walk.frame.rule, FrameRule::AllRows);
    assert_eq!(walk.frame.too_few, [(FrameRule::InnerRows, 27)]);
    assert_eq!((walk.frame.positions, walk.frame.eligible), (96, 84));

    // Two short rows: nothing is left within the ends, so that all bearing vines stand for it.
    let events = [
        gone("F1-1-2"),
        event("F2-1-1", VineChange::Replanted, Some(2030)),
        event("F2-1-3", VineChange::Planted, None),
    ];
    let walk = draw_up(&berries(25), &self::rows("F", 2, 1), &events, day(), 7);
    assert_eq!(walk.frame.rule, FrameRule::AllVines);
    let too_few = [(FrameRule::InnerRows, 0), (FrameRule::AllRows, 0)];
    assert_eq!(walk.frame.too_few, too_few);
    assert_eq!((walk.stops.len(), walk.spares.len()), (5, 0));
}

#[test]
fn a_block_without_rows_has_no_stops() {
    let walk = draw_up(&berries(25), &[], &[], day(), 7);
    assert_eq!((walk.stops.len(), walk.frame.eligible), (0, 0));
}

#[test]
fn what_a_pencil_wrote_is_read_as_the_code_that_was_printed() {
    for (typed, code) in [("K7Q2", "K7Q2"), (" k7 q2 ", "K7Q2"), ("oil-9", "0119")] {
        let read: CardCode = typed.parse().expect("a code");
        assert_eq!(read.to_string(), code);
    }
    assert_eq!("K7U2".parse::<CardCode>(), Err(CodeError::Sign('U')));
    assert_eq!("K7Q".parse::<CardCode>(), Err(CodeError::Length));
    assert_eq!("".parse::<CardCode>(), Err(CodeError::Length));
}

#[test]
fn the_dice_are_those_published() {
    // The first throws from the seed 1234567 as other programs print them.
    let mut dice = Dice::new(1_234_567);
    let throws: Vec<u64> = (0..5).map(|_| dice.throw()).collect();
    let known = [
        6_457_827_717_110_365_317,
        3_203_168_211_198_807_973,
        9_817_491_932_198_370_423,
        4_593_380_528_125_082_431,
        16_408_922_859_458_223_821,
    ];
    assert_eq!(throws, known);
}

#[test]
fn the_stops_for_a_wanted_half_width_have_a_floor_and_a_roof() {
    let asked = |wanted| how_many(wanted, 1.03, 0.71, 259).expect("a number of stops");
    let some = asked(0.5);
    assert_eq!(some.because, Because::Wanted);
    assert!(some.half_width <= 0.5 && asked(0.6).stops < some.stops);
    let fewest = asked(6.0);
    assert_eq!((fewest.stops, fewest.because), (5, Because::LeastStops));
    let most = asked(0.05);
    assert_eq!((most.stops, most.because), (60, Because::MostStops));
    assert!(most.half_width > 0.05);
    assert!(how_many(0.0, 1.03, 0.71, 259).is_err());
}

/// A block with odd panels, some vines gone, some young, and a walk through it.
fn block() -> impl Strategy<Value = (Vec<RowLayout>, Vec<VineEvent>, u32, u32)> {
    let panels = prop::collection::vec(1..6_u16, 1..9);
    let rows = prop::collection::vec(panels, 1..7).prop_map(|rows| {
        let labelled = rows.into_iter().enumerate();
        labelled
            .map(|(place, panels)| RowLayout {
                label: format!("B{}", place + 1),
                panels,
            })
            .collect::<Vec<_>>()
    });
    let happened = (any::<prop::sample::Index>(), 0..3_u8);
    let happened = prop::collection::vec(happened, 0..40);
    (rows, happened, 1..40_u32, any::<u32>()).prop_map(|(rows, happened, stops, number)| {
        let all: Vec<VineAddress> = rows.iter().flat_map(RowLayout::addresses).collect();
        let events = happened
            .into_iter()
            .map(|(at, what)| {
                let address = at.get(&all).to_string();
                match what {
                    0 => gone(&address),
                    1 => event(&address, VineChange::Replanted, Some(2030)),
                    _ => event(&address, VineChange::Weak, None),
                }
            })
            .collect();
        (rows, events, stops, CardCode::of(number).number())
    })
}

fn visited(walk: &Walk) -> Vec<&VineAddress> {
    let all = walk.stops.iter().chain(&walk.spares);
    all.map(|stop| &stop.at).collect()
}

/// Up the first row that has stops, down the next, and so on.
fn is_serpentine(walk: &Walk, rows: &[RowLayout]) -> bool {
    let row = |at: &VineAddress| rows.iter().position(|row| row.label == at.row);
    let mut of_row: BTreeMap<Option<usize>, Vec<(u16, u16)>> = BTreeMap::new();
    for stop in &walk.stops {
        let place = (stop.at.panel, stop.at.vine);
        of_row.entry(row(&stop.at)).or_default().push(place);
    }
    let rows_in_order = walk
        .stops
        .windows(2)
        .all(|pair| row(&pair[0].at) <= row(&pair[1].at));
    rows_in_order
        && of_row
            .values()
            .enumerate()
            .all(|(number, places)| match number % 2 {
                0 => places.is_sorted(),
                _ => places.iter().rev().is_sorted(),
            })
}

proptest! {
    #[test]
    fn a_walk_keeps_its_laws((rows, events, stops, seed) in block()) {
        let asked = berries(stops);
        let walk = draw_up(&asked, &rows, &events, day(), seed);
        prop_assert_eq!(&walk, &draw_up(&asked, &rows, &events, day(), seed));
        let bearing = bearing_on(&rows, &events, day());
        let visited = visited(&walk);
        prop_assert!(visited.iter().all(|at| bearing.contains(at)));
        let distinct: BTreeSet<_> = visited.iter().collect();
        prop_assert_eq!(distinct.len(), visited.len());
        prop_assert_eq!(walk.stops.len() as u32, stops.min(walk.frame.eligible));
        let spare = (walk.frame.eligible - walk.stops.len() as u32).min(3);
        prop_assert_eq!(walk.spares.len() as u32, spare);
        let left = walk.stops.iter().filter(|stop| stop.side == Side::Left).count();
        prop_assert!(left.abs_diff(walk.stops.len() - left) <= 1);
        prop_assert!(is_serpentine(&walk, &rows), "{:?}", walk.stops);
        prop_assert!(visited.iter().all(|at| walk.frame.rows.contains(&at.row)));
    }

    #[test]
    fn a_code_is_read_as_it_was_written(number in any::<u32>()) {
        let code = CardCode::of(number);
        prop_assert_eq!(code.to_string().parse(), Ok(code));
        prop_assert_eq!(code.to_string().to_lowercase().parse(), Ok(code));
        prop_assert_eq!(CardCode::of(code.number()), code);
    }
}

#[test]
fn every_vine_of_the_frame_is_about_equally_likely() {
    let (rows, events) = frontenac();
    let mut times: BTreeMap<VineAddress, u32> = BTreeMap::new();
    let walks = 4000;
    for number in 0..walks {
        let code = CardCode::of(number * 257);
        let walk = draw_up(&berries(25), &rows, &events, day(), code.number());
        for stop in walk.stops {
            *times.entry(stop.at).or_default() += 1;
        }
    }
    assert_eq!(times.len(), 157);
    let expected = f64::from(walks) * 25.0 / 157.0;
    // Five standard deviations of a count of independent draws.
    let apart = 5.0 * (expected * (1.0 - 25.0 / 157.0)).sqrt();
    for (at, count) in times {
        assert!(
            (f64::from(count) - expected).abs() < apart,
            "{at}: {count} of {expected:.0}"
        );
    }
}
