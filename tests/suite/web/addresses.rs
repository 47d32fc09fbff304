//! All addresses of the site, read from the tables of routes in the source, so that a new one is
//! tested without being named again. Not here: what is asked of them.

use std::path::Path;

use crate::support::farm::Farm;

/// Every address as the source writes it: "/entries/{id}/correct".
pub fn patterns() -> Vec<String> {
    let mut found = Vec::new();
    collect(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("src/web"),
        &mut found,
    );
    found.sort();
    found.dedup();
    assert!(found.len() > 20, "the tables of routes are not found");
    found
}

fn collect(folder: &Path, found: &mut Vec<String>) {
    for file in std::fs::read_dir(folder).expect("a folder of the source") {
        let path = file.expect("a file").path();
        if path.is_dir() {
            collect(&path, found);
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            let text = std::fs::read_to_string(&path).expect("source");
            found.extend(routes_in(&text));
        }
    }
}

/// The first text after each `.route(`.
fn routes_in(source: &str) -> impl Iterator<Item = String> {
    source.split(".route(").skip(1).filter_map(|after| {
        let text = after.trim_start().strip_prefix('"')?;
        text.split_once('"').map(|(path, _)| path.to_owned())
    })
}

/// The addresses with something in place of each `{…}`.
pub fn filled(with: &str) -> Vec<String> {
    patterns()
        .iter()
        .map(|pattern| {
            pattern
                .split('/')
                .map(|part| if part.starts_with('{') { with } else { part })
                .collect::<Vec<_>>()
                .join("/")
        })
        .collect()
}

/// The pages of forms to be filled in, with a farm that is there.
pub fn forms() -> Vec<String> {
    filled("none")
        .into_iter()
        // A walk needs rows to draw from; its own tests have them.
        .filter(|path| path.ends_with("/new") && path != "/walks/new")
        .collect()
}

#[test]
fn routes_are_read_from_the_source() {
    let source = r#".route("/a/{id}", get(x)).route(
        "/b", post(y))"#;
    let found: Vec<String> = routes_in(source).collect();
    assert_eq!(found, ["/a/{id}", "/b"]);
    for known in ["/", "/entries/{id}/void", "/ripeness/new"] {
        assert!(patterns().iter().any(|one| one == known), "{known}");
    }
}

/// Ids that are there: a block's and a weather entry's.
pub async fn ids_of(farm: &Farm) -> [String; 2] {
    let block = farm.block("A").await;
    let entry = farm.save("/weather/new", &[("rain", "0.2")]).await;
    let entry = entry.path.trim_start_matches("/entries/").to_owned();
    let entry = entry.split('?').next().unwrap_or_default().to_owned();
    [block, entry]
}
