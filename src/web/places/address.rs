//! Reads an address back in words, so that two people mean the same vine or post.
//! Not here: how it is read (`science::places::address`).

use askama::Template;
use axum::response::Response;

use crate::science::places::{Address, Reading, parse_address, read_back};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Asked;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "places/address.html")]
struct AddressPage {
    frame: Frame,
    typed: String,
    said: Vec<(String, String)>,
    question: Option<String>,
    problem: Option<String>,
}

/// Asks which of the candidates is meant, or whether the only one is.
pub fn which_is_meant(typed: &str, candidates: &[Address]) -> String {
    match candidates {
        [_] => format!("\"{typed}\": is this meant?"),
        _ => format!("\"{typed}\": which one is meant?"),
    }
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let typed = asked.first("q").trim().to_owned();
    let rows = known.all_rows();
    let mut drawn = AddressPage {
        frame: Frame::new(&known, &app, "Read an address").at("/blocks"),
        said: Vec::new(),
        question: None,
        problem: None,
        typed,
    };
    if !drawn.typed.is_empty() {
        match parse_address(&drawn.typed, &rows) {
            Ok(Reading::Clear(one)) => {
                drawn.said.push((one.to_string(), read_back(&one, &rows)));
            }
            Ok(Reading::Ambiguous(several)) => {
                drawn.question = Some(which_is_meant(&drawn.typed, &several));
                drawn.said = several
                    .iter()
                    .map(|one| (one.to_string(), read_back(one, &rows)))
                    .collect();
            }
            Err(error) => drawn.problem = Some(error.to_string()),
        }
    }
    Ok(page(&drawn))
}
