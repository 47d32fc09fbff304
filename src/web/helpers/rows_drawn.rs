//! Where everything stands on the map: every row a line from the home end, a tick at each post, a
//! taller one where a post has a tag. All blocks are drawn to one scale.
//! Not here: what is drawn of which block (`map`), SVG (`templates/helpers/rows.html`).

use crate::science::places::RowLayout;

/// As wide as the page of a small phone, so that letters there are as large as they say.
pub const WIDTH: f64 = 320.0;
/// The height of letters, which are 18 pixels or more on that phone and 10 points on paper.
pub const LETTERS: f64 = 19.0;
const LETTER_WIDTH: f64 = 13.0;
const PITCH: f64 = 20.0;
/// From a label to the post beside it.
const GAP: f64 = 10.0;
/// Posts closer together than this make a bar: only those with a tag are drawn.
const CLOSEST_POSTS: f64 = 3.0;
/// Room for the number of a tag, with some to spare.
const TAG_ROOM: f64 = 42.0;
/// Every post of this number has a tag.
const TAGGED: u16 = 5;

/// Where rows begin and how long a panel is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    pub home: f64,
    pub panel: f64,
}

/// A post of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Post {
    pub x: f64,
    pub tagged: bool,
}

/// One row. Its label stands at both ends.
#[derive(Clone, Debug, PartialEq)]
pub struct RowDrawn {
    pub label: String,
    pub y: f64,
    pub home: f64,
    pub far: f64,
    pub near_label: f64,
    pub far_label: f64,
    pub posts: Vec<Post>,
}

/// The rows of a block.
#[derive(Clone, Debug, PartialEq)]
pub struct RowsDrawn {
    pub height: f64,
    /// The ground between the rows' ends: left, top, width, height.
    pub ground: (f64, f64, f64, f64),
    /// Numbers of posts that have a tag, above the first row.
    pub tags: Vec<(f64, u16)>,
    pub rows: Vec<RowDrawn>,
}

impl Scale {
    /// The scale that fits the longest row and the longest label of the farm.
    pub fn of(rows: &[RowLayout]) -> Self {
        let letters = rows.iter().map(|row| row.label.chars().count()).max();
        let label = letters.unwrap_or(1) as f64 * LETTER_WIDTH;
        let most_panels = rows.iter().map(RowLayout::panel_count).max();
        let home = label + GAP;
        Self {
            home,
            panel: (WIDTH - 2.0 * home) / f64::from(most_panels.unwrap_or(1).max(1)),
        }
    }

    fn post(self, number: u16) -> f64 {
        tenths(self.home + f64::from(number) * self.panel)
    }
}

/// Lays out the rows of a block in their order, the home end at the left.
pub fn lay_out(rows: &[RowLayout], scale: Scale) -> RowsDrawn {
    let longest = rows.iter().map(RowLayout::panel_count).max().unwrap_or(0);
    let tags = tags(longest, scale);
    let top = if tags.is_empty() { 0.0 } else { PITCH };
    let drawn = (0..).zip(rows).map(|(place, row): (u16, _)| {
        let far = scale.post(row.panel_count());
        RowDrawn {
            label: row.label.clone(),
            y: top + (f64::from(place) + 0.5) * PITCH,
            home: scale.home,
            far,
            near_label: scale.home - GAP,
            far_label: far + GAP,
            posts: posts(row.panel_count(), scale),
        }
    });
    let rows: Vec<RowDrawn> = drawn.collect();
    let high = rows.len() as f64 * PITCH;
    RowsDrawn {
        height: top + high,
        ground: (
            scale.home,
            top,
            tenths(scale.post(longest) - scale.home),
            high,
        ),
        tags,
        rows,
    }
}

/// Every post after the one at the home end, or only those with a tag where all would make a bar.
fn posts(panels: u16, scale: Scale) -> Vec<Post> {
    let too_close = scale.panel < CLOSEST_POSTS;
    (1..=panels)
        .map(|number| (number, number % TAGGED == 0))
        .filter(|(number, tagged)| *tagged || !too_close || *number == panels)
        .map(|(number, tagged)| Post {
            x: scale.post(number),
            tagged,
        })
        .collect()
}

/// Numbers of tags that have room beside each other: each fifth, tenth, fifteenth post and so on.
fn tags(longest: u16, scale: Scale) -> Vec<(f64, u16)> {
    let fives = (TAG_ROOM / (f64::from(TAGGED) * scale.panel))
        .ceil()
        .max(1.0);
    let step = usize::from(TAGGED) * fives as usize;
    (0..=longest)
        .step_by(step)
        .skip(1)
        .map(|number| (scale.post(number), number))
        .collect()
}

/// A tenth of a pixel is as fine as anybody sees.
fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}
