//! Sprays as a keeper meets them: typed into pages, read on the board, over HTTP; and the sums
//! alone (`hold`, `hold_figure`). Not here: the farm that is visited (`support`).

mod asked;
mod board;
mod ground;
mod hold;
mod hold_figure;
mod plan;
mod record;

use crate::support::farm::Farm;

type Pairs<'a> = Vec<(&'a str, &'a str)>;

/// The board in words.
async fn board_in_words(farm: &Farm) -> String {
    let page = farm.get("/sprays/board").await;
    assert_eq!(page.status, 200);
    page.text()
}

/// Story 9's first spray: two products, 12 h and 7 days, 48 h and 14 days.
fn story_9() -> Pairs<'static> {
    vec![
        ("block", "C"),
        ("block", "D"),
        ("date", "2027-09-04"),
        ("started", "09:10"),
        ("ended", "10:40"),
        ("volume", "45"),
        ("applicator", "keeper"),
        ("wind", "light, west"),
        ("temp", "64"),
        ("label_read", "yes"),
        ("product_1_name", "First"),
        ("product_1_reg", "000-1"),
        ("product_1_active", "sulfur"),
        ("product_1_rate", "3 lb an acre"),
        ("product_1_entry", "12"),
        ("product_1_harvest", "7"),
        ("product_2_name", "Second"),
        ("product_2_entry", "48 h"),
        ("product_2_harvest", "14 days"),
    ]
}

/// One product on block A.
fn one_product<'a>(date: &'a str, ended: &'a str, hours: &'a str, days: &'a str) -> Pairs<'a> {
    vec![
        ("block", "A"),
        ("date", date),
        ("ended", ended),
        ("product_1_name", "Third"),
        ("product_1_entry", hours),
        ("product_1_harvest", days),
    ]
}

/// The same fields with one of them typed otherwise.
fn with<'a>(fields: &[(&'a str, &'a str)], name: &'a str, value: &'a str) -> Pairs<'a> {
    let mut fields: Pairs = fields
        .iter()
        .copied()
        .filter(|(known, _)| *known != name)
        .collect();
    fields.push((name, value));
    fields
}
