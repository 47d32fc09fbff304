//! Sprays on pages: the record, the board, the season's print, counting back.
//! Not here: the holds themselves (`science::sprays`).

use axum::Router;

use super::App;
use super::form::{Draft, Form, Group, Reader};
use super::known::Known;
use super::words::ReadBack;
use crate::store::ledger::{Kind, Values};

/// What was sprayed.
pub struct SprayForm;

impl Form for SprayForm {
    fn kind(&self) -> Kind {
        Kind::Spray
    }

    fn heading(&self) -> &'static str {
        "A spray"
    }

    fn path(&self) -> &'static str {
        "/sprays"
    }

    fn groups(&self, _draft: &Draft, _known: &Known) -> Vec<Group> {
        Vec::new()
    }

    fn check(&self, _reader: &mut Reader, _known: &Known) -> Option<Values> {
        None
    }

    fn read_back(&self, _values: &Values, _known: &Known) -> ReadBack {
        ReadBack::default()
    }
}

/// The addresses of this room.
pub fn routes() -> Router<App> {
    Router::new()
}
