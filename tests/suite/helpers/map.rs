//! The map: every row a line in its place, true to its panels, whatever the farm is like.

use endpost::science::places::RowLayout;
use endpost::web::helpers::rows_drawn::{LETTERS, RowsDrawn, Scale, WIDTH, lay_out};

use super::{FRIDAY, spray};
use crate::support::farm::Farm;

fn row(label: &str, panels: usize) -> RowLayout {
    RowLayout {
        label: label.to_owned(),
        panels: vec![4; panels],
    }
}

fn drawn(rows: &[RowLayout]) -> RowsDrawn {
    lay_out(rows, Scale::of(rows))
}

fn many(count: usize, panels: usize) -> Vec<RowLayout> {
    let label = |number| format!("B{number}");
    (1..=count)
        .map(|number| row(&label(number), panels))
        .collect()
}

/// What holds of every drawing: labels inside and beside their line, rows apart, posts in order.
#[track_caller]
fn is_legible(rows: &[RowLayout]) {
    let drawn = drawn(rows);
    assert_eq!(drawn.rows.len(), rows.len());
    let mut above = f64::NEG_INFINITY;
    for (row, given) in drawn.rows.iter().zip(rows) {
        assert_eq!(row.label, given.label);
        // A letter is at most two thirds as wide as it is high.
        let label = row.label.chars().count() as f64 * LETTERS * 0.65;
        assert!(row.near_label - label >= 0.0, "{row:?}");
        assert!(row.far_label + label <= WIDTH, "{row:?}");
        assert!(row.near_label < row.home && row.home <= row.far && row.far < row.far_label);
        assert!(row.y - above >= LETTERS, "{} too close", row.label);
        assert!(row.y + LETTERS / 2.0 <= drawn.height);
        above = row.y;
        let places: Vec<f64> = row.posts.iter().map(|post| post.x).collect();
        assert!(places.is_sorted(), "{places:?}");
        assert_eq!(places.last().copied().unwrap_or(row.home), row.far);
    }
    let tags: Vec<f64> = drawn.tags.iter().map(|(x, _)| *x).collect();
    for pair in tags.windows(2) {
        assert!(pair[1] - pair[0] >= 2.0 * LETTERS, "{tags:?}");
    }
}

#[test]
fn rows_are_as_long_as_they_have_panels() {
    let rows = [row("A1", 11), row("A2", 11), row("A3", 5), row("A4", 1)];
    let drawn = drawn(&rows);
    let length = |at: usize| drawn.rows[at].far - drawn.rows[at].home;
    assert!((length(0) - length(1)).abs() < 0.1);
    assert!((length(2) / length(0) - 5.0 / 11.0).abs() < 0.01);
    assert!((length(3) / length(0) - 1.0 / 11.0).abs() < 0.01);
    let order: Vec<&str> = drawn.rows.iter().map(|row| row.label.as_str()).collect();
    assert_eq!(order, ["A1", "A2", "A3", "A4"]);
}

#[test]
fn every_panel_has_a_tick_and_every_fifth_post_a_tag() {
    let drawn = drawn(&[row("C1", 11)]);
    let posts = &drawn.rows[0].posts;
    assert_eq!(posts.len(), 11);
    let tagged: Vec<usize> = (1..)
        .zip(posts)
        .filter(|(_, post)| post.tagged)
        .map(|(number, _)| number)
        .collect();
    assert_eq!(tagged, [5, 10]);
    let numbers: Vec<(f64, u16)> = vec![(posts[4].x, 5), (posts[9].x, 10)];
    assert_eq!(drawn.tags, numbers);
}

#[test]
fn odd_farms_stay_legible() {
    for rows in [
        vec![row("A1", 11)],
        vec![row("A1", 1)],
        vec![row("A1", 4), row("A2", 9), row("A3", 23)],
        many(60, 11),
        many(400, 300),
        vec![row("ABC400", 300), row("ABC1", 1)],
        vec![row("A1", 0)],
    ] {
        is_legible(&rows);
    }
    let nothing = drawn(&[]);
    assert_eq!((nothing.rows.len(), nothing.height), (0, 0.0));
}

#[test]
fn posts_that_would_make_a_bar_are_left_out_but_for_tags_and_the_end() {
    let drawn = drawn(&[row("B1", 202)]);
    let posts = &drawn.rows[0].posts;
    assert_eq!(posts.len(), 41, "forty with a tag and the far end");
    assert!(posts[..40].iter().all(|post| post.tagged));
}

#[tokio::test]
async fn all_blocks_are_drawn_to_one_scale_with_their_labels_at_both_ends() {
    let farm = Farm::at(FRIDAY).await;
    for path in ["/helpers/map", "/helpers/sheet"] {
        let page = farm.get(path).await;
        assert_eq!(
            page.text_of(".map figcaption"),
            [
                "A Marquette",
                "B Frontenac",
                "C Vidal",
                "D Traminette",
                "E Cabernet franc"
            ]
        );
        let letters = page.text_of(".map svg text");
        let times = |label: &str| letters.iter().filter(|one| *one == label).count();
        for label in ["A1", "A8", "B6", "C5", "D4", "E3"] {
            assert_eq!(times(label), 2, "{label} on {path}");
        }
        assert_eq!((times("5"), times("10")), (5, 2), "{letters:?}");
        let words = page.attributes(".map svg", "aria-label");
        assert_eq!(
            words[4],
            "Home end at the left. E1, nine panels; E2, nine panels; E3, nine panels."
        );
        let squares = page.attributes(".map svg rect.dot", "x");
        assert_eq!(squares.len(), 26);
        assert!(squares.iter().all(|x| *x == squares[0]), "one home end");
        assert!(page.attributes(".map pattern", "id").is_empty());
    }
}

#[tokio::test]
async fn a_closed_block_is_hatched_and_says_so() {
    let farm = Farm::at(FRIDAY).await;
    spray(&farm, "C", "2027-09-09", "48", "14").await;
    for path in ["/helpers/map", "/helpers/sheet"] {
        let page = farm.get(path).await;
        assert_eq!(page.text_of(".map figcaption")[2], "C Vidal CLOSED");
        assert_eq!(page.text_of(".map .badge").len(), 1);
        assert_eq!(page.attributes(".map pattern", "id"), ["closed2"]);
        let filled = page.attributes(".map svg rect[fill]", "fill");
        assert_eq!(filled, ["url(#closed2)"]);
        let words = &page.attributes(".map svg", "aria-label")[2];
        assert!(words.ends_with("Hatched: CLOSED."), "{words}");
    }
    let farm = farm.later("2027-09-11T11:00:00-04:00").await;
    let page = farm.get("/helpers/map").await;
    assert_eq!(page.text_of(".map figcaption")[2], "C Vidal PICKING CLOSED");
}

/// Rows that went to another block are drawn there, from the day of the change.
#[tokio::test]
async fn the_map_is_that_of_today() {
    let farm = Farm::at(FRIDAY).await;
    let block = farm.block("E").await;
    let fields = [
        ("block", block.as_str()),
        ("rows", "4 rows, 9 panels, 4 vines\nE2: 5 panels"),
        ("from", "2027-09-12"),
    ];
    farm.save("/rows/new", &fields).await;
    let rows = |page: &crate::support::page::Page| {
        page.text_of(".map svg text")
            .iter()
            .filter(|label| label.starts_with('E'))
            .count()
    };
    assert_eq!(rows(&farm.get("/helpers/map").await), 6);
    let farm = farm.later("2027-09-12T07:00:00-04:00").await;
    let page = farm.get("/helpers/map").await;
    assert_eq!(rows(&page), 8);
    let words = page.attributes(".map svg", "aria-label");
    assert!(
        words[4].contains("E2, five panels; E3, nine panels"),
        "{}",
        words[4]
    );
}

/// Paper can't turn the page within a drawing.
#[tokio::test]
async fn a_block_of_many_rows_is_drawn_in_parts() {
    let farm = Farm::started_at(FRIDAY).await;
    let block = farm.block("A").await;
    let fields = [
        ("block", block.as_str()),
        ("rows", "70 rows, 11 panels, 4 vines"),
        ("from", "2027-01-01"),
    ];
    farm.save("/rows/new", &fields).await;
    let page = farm.get("/helpers/map").await;
    assert_eq!(
        page.text_of(".map figcaption"),
        [
            "A Marquette",
            "A Marquette, further rows",
            "A Marquette, further rows"
        ]
    );
    let squares = page.attributes(".map svg rect.dot", "x");
    assert_eq!(squares.len(), 70);
    assert!(squares.iter().all(|x| *x == squares[0]), "one home end");
}
