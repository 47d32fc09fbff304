//! "How we figure", the walk: which vines are drawn, and how many more it takes on the way.
//! Not here: the sums (`science::ripeness::walk`).

use chrono::NaiveDate;

use super::how_worked::{Formula, refused};
use super::walk_words;
use crate::science::cards::CardCode;
use crate::science::places::RowLayout;
use crate::science::ripeness::walk::running::running;
use crate::science::ripeness::walk::{ReadAt, Wishes, draw_up};
use crate::science::sources::Work;
use crate::web::known::Known;

pub fn formulas(known: &Known) -> Vec<Formula> {
    vec![draw(), more(known)]
}

fn draw() -> Formula {
    let code = "K7Q2".parse::<CardCode>().ok();
    let day = NaiveDate::from_ymd_opt(2027, 9, 3);
    let rows: Vec<RowLayout> = (1..=4)
        .map(|row| RowLayout {
            label: format!("A{row}"),
            panels: vec![6; 3],
        })
        .collect();
    let wishes = Wishes {
        read: ReadAt::Vines,
        wanted: None,
        how_many: None,
        stops: 6,
        berries: 20,
    };
    let worked = code.zip(day).map_or_else(refused, |(code, day)| {
        let walk = draw_up(&wishes, &rows, &[], day, code.number());
        let stops: Vec<String> = walk
            .stops
            .iter()
            .map(|stop| format!("{} {}", stop.at, walk_words::side(stop, &walk)))
            .collect();
        format!(
            "Six stops in four rows of 18 vines, by card {code}: {} vines may be drawn; {}.",
            walk.frame.eligible,
            stops.join(", ")
        )
    });
    Formula {
        id: "draw",
        name: "Which vines a walk reads",
        words: "Each vine that may be drawn is as likely as the others, and none is chosen by eye. \
                The edge rows and the first two vines at both ends of a row are left out as long as \
                the others are enough, then only the ends, then nothing; gone vines never come. The \
                card's code is the seed: the same code brings the same vines again.",
        formula: &[
            "The N vines that may be drawn are counted up one row and down the next.",
            "Start u, one of 0 to N − 1, by the code; stop i is vine ⌊(u + i N) ÷ n⌋, i = 0 to n − 1.",
            "Sides by turns, left and right, the first by the code. Three spares come the same way \
             from the vines that are left.",
        ],
        worked,
        works: vec![Work::MarylandSampling],
        besides: "That leaflet leaves out edges and ends; systematic draw from a random start is a \
                  textbook method, from memory.",
    }
}

fn more(known: &Known) -> Formula {
    let read = [21.4, 22.8, 21.6, 21.5, 22.2];
    let sum = running(&read, Some(259), Some(0.5), &known.assumptions);
    let (value, line) = walk_words::running(sum.as_ref(), 12, Some(0.5));
    Formula {
        id: "more",
        name: "How many stops more",
        words: "Before the walk the number of stops follows from the starting spreads below, with \
                Student's t; below five readings the way on is reckoned from the same spreads taken \
                as known, from five on from the readings' own. So what is left changes on the way.",
        formula: &[
            "The fewest k for which n + k stops of the same spread bring the ± of single vines \
             above down to what is wanted; at most 60 stops in all.",
        ],
        worked: format!("21.4, 22.8, 21.6, 21.5 and 22.2 in a block of 259: {value}. {line}"),
        works: vec![Work::Rankine1962],
        besides: "",
    }
}
