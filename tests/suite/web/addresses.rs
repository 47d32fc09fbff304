//! All addresses of the site, as it has them, so that a new one is tested without being named again. Not here: what is asked of them.

use endpost::web::site;

use crate::support::farm::Farm;

/// Every address as its room writes it: "/entries/{id}/correct".
pub fn patterns() -> Vec<String> {
    let mut found: Vec<String> = site().rules().into_iter().map(|one| one.path).collect();
    found.sort();
    found.dedup();
    found
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
        // A walk needs rows to draw from, a phone a passphrase, a link a page: their own tests have
        // them.
        .filter(|path| path.ends_with("/new"))
        .filter(|path| !["/walks/new", "/phones/new", "/shares/new"].contains(&path.as_str()))
        .collect()
}

/// Ids that are there: a block's and a weather entry's.
pub async fn ids_of(farm: &Farm) -> [String; 2] {
    let block = farm.block("A").await;
    let entry = farm.save("/weather/new", &[("rain", "0.2")]).await;
    let entry = entry.path.trim_start_matches("/entries/").to_owned();
    let entry = entry.split('?').next().unwrap_or_default().to_owned();
    [block, entry]
}
