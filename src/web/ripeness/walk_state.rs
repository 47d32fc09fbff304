//! What a phone out on a walk asks when it is in reach: whether the block is closed by now, and
//! what others have kept. Not here: the page (`walk_page`).

use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;

use super::walk_shared::Standing;
use super::walk_words;
use crate::web::App;
use crate::web::error::PageError;
use crate::web::phones::json;
use crate::web::typed::Named;

#[derive(Serialize)]
struct WalkState {
    is_closed: bool,
    /// Whether one may go in, as far as the house knows now.
    entry: String,
    kept: Vec<KeptStop>,
}

#[derive(Serialize)]
struct KeptStop {
    at: String,
    brix: Vec<f64>,
    words: Vec<String>,
}

pub async fn get(app: App, Named(code): Named) -> Result<Response, PageError> {
    let standing = Standing::of(&app, &code).await?;
    let one = standing.block()?;
    let entry = walk_words::entry(one, &standing.known, &standing.vineyard);
    let state = WalkState {
        is_closed: entry.is_closed,
        entry: entry.words,
        kept: standing
            .kept
            .into_iter()
            .map(|(at, read)| KeptStop {
                at: at.to_string(),
                brix: read.iter().map(|one| one.brix).collect(),
                words: read.into_iter().map(|one| one.words).collect(),
            })
            .collect(),
    };
    Ok(json(StatusCode::OK, &state))
}
