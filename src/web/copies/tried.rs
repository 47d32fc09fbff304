//! "We tried it today": the day on which the data was brought back on another machine, to see that
//! it can be. Not here: the sheet that says how.

use axum::response::Response;

use crate::store::{Read, Tried};
use crate::web::error::PageError;
use crate::web::known::Known;
use crate::web::typed::Posted;
use crate::web::visitor::Visitor;
use crate::web::{App, see_other, words};

pub async fn post(app: App, visitor: Visitor, Posted(_): Posted) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let tried = Tried {
        on: known.today,
        at: app.clock.now(),
        person: known.person(visitor.person.as_deref()),
    };
    app.store.note_restore_tried(tried).await?;
    Ok(see_other("/copies"))
}

/// "Fri 10 Sept 2027 by KM"; none if it was never tried.
pub async fn last_tried(read: &mut Read) -> Result<Option<String>, PageError> {
    let tried = read.restore_tried().await?;
    Ok(tried.map(|(on, person)| {
        let by = person.map_or_else(String::new, |who| format!(" by {who}"));
        format!("{}{by}", words::day_and_year(on))
    }))
}
