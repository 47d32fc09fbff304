//! The page at the door: how to come in, with all that was typed before it shut. Whoever is let in
//! goes on where they were, or saves what they typed with one tap.
//! Not here: codes and the passphrase themselves (`pair`, `login`).

use askama::Template;
use axum::extract::{FromRequest, Request};
use axum::http::header::WWW_AUTHENTICATE;
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse, Response};

use crate::science::access::Role;
use crate::store::ledger::Fields;
use crate::web::form::{Draft, Field, Problem};
use crate::web::frame::Frame;
use crate::web::typed::Posted;
use crate::web::{App, page, see_other};

/// Where somebody wanted to go, and what they had typed.
#[derive(Clone, Default)]
pub struct Typed {
    /// The page that was asked for.
    then: String,
    /// Where what was typed was sent.
    send_to: String,
    fields: Fields,
}

/// Names of the fields that carry it through the door.
const THEN: &str = "then";
const SEND_TO: &str = "send_to";
const TYPED: &str = "typed";

impl Typed {
    /// What a request that was not let in had with it. A body that can't be read as a form's is no
    /// loss here: a browser keeps the page that sent it.
    pub async fn of(request: Request, app: &App) -> Self {
        let path = request.uri().path().to_owned();
        if request.method() != Method::POST {
            let asked = request.uri().path_and_query();
            return Self {
                then: asked.map_or(path, ToString::to_string),
                ..Self::default()
            };
        }
        let posted = Posted::from_request(request, app).await;
        let fields = match posted {
            // A passphrase is carried nowhere.
            Ok(Posted(fields)) if path != "/passphrase" => fields,
            _ => Fields::default(),
        };
        Self {
            then: "/".to_owned(),
            send_to: path,
            fields,
        }
    }

    /// The same, as the page at the door carries it.
    pub fn carried(fields: &Fields) -> Self {
        let typed = form_urlencoded::parse(fields.first(TYPED).as_bytes());
        let typed = typed.map(|(name, value)| (name.into_owned(), value.into_owned()));
        Self {
            then: local(fields.first(THEN)),
            send_to: local(fields.first(SEND_TO)),
            fields: typed.collect(),
        }
    }

    /// For whoever came to the door by themselves.
    pub fn nothing() -> Self {
        Self {
            then: "/".to_owned(),
            ..Self::default()
        }
    }

    /// What was typed, to be read.
    pub fn lines(&self) -> Vec<String> {
        const NOT_SHOWN: &[&str] = &["entry_id", "form_version", "asking"];
        let shown = self.fields.iter();
        let shown =
            shown.filter(|(name, text)| !text.trim().is_empty() && !NOT_SHOWN.contains(name));
        shown
            .map(|(name, text)| format!("{name}: {text}"))
            .collect()
    }

    fn packed(&self) -> String {
        form_urlencoded::Serializer::new(String::new())
            .extend_pairs(self.fields.iter())
            .finish()
    }

    /// Where somebody goes who was let in: on to where they were going, or to the first page of
    /// their role.
    pub fn onward(self, app: &App, role: Role) -> Response {
        if self.send_to.is_empty() || self.fields.iter().next().is_none() {
            let first = match role {
                Role::Keeper => "/",
                Role::Helper | Role::Looker => "/helpers",
            };
            return see_other(match self.then.as_str() {
                "" | "/" => first,
                then => then,
            });
        }
        page(&LetInPage {
            frame: Frame::bare(app, "Save what you typed"),
            typed: self.lines(),
            fields: self.fields.iter().collect(),
            send_to: &self.send_to,
        })
    }
}

/// A path of this house, and of no other; anything else is none.
fn local(path: &str) -> String {
    let is_local = path.starts_with('/')
        && !path.starts_with("//")
        && path
            .bytes()
            .all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if is_local {
        path.to_owned()
    } else {
        String::new()
    }
}

#[derive(Template)]
#[template(path = "access/door.html")]
struct DoorPage<'a> {
    frame: Frame,
    why: &'static str,
    takes_passphrase: bool,
    takes_code: bool,
    passphrase: Field,
    code: Field,
    then: &'a str,
    send_to: &'a str,
    packed: String,
    typed: Vec<String>,
}

#[derive(Template)]
#[template(path = "access/let_in.html")]
struct LetInPage<'a> {
    frame: Frame,
    typed: Vec<String>,
    fields: Vec<(&'a str, &'a str)>,
    send_to: &'a str,
}

/// What is wanted at the door, in words.
pub fn why(app: &App) -> &'static str {
    let keys = app.store.keys();
    if keys.unreadable {
        "The farm computer's database is damaged, and who may come in can't be read from it. Tell the \
         keeper. What is kept on this phone stays on it until a good copy is back."
    } else if app.who.is_in() {
        "This phone is in already. A code gives it another way in."
    } else if !app.doorkeeper.lets_phones_in(&keys) {
        "Phones are not let in yet. First the keeper sets a passphrase, at the farm computer itself."
    } else if app.who.at_the_house {
        "Only those whom the keeper lets in see and write here."
    } else {
        "This phone is not let in, or not any more. Ask the keeper for a code; it works once, for \
         ten minutes."
    }
}

/// The answer to somebody who is not let in.
pub fn at_the_door(app: &App, typed: Typed) -> Response {
    knock(app, &typed, "", &[], StatusCode::UNAUTHORIZED)
}

/// The page at the door, with the code that was typed and what is wrong with it.
pub fn knock(
    app: &App,
    typed: &Typed,
    code: &str,
    problems: &[Problem],
    status: StatusCode,
) -> Response {
    let mut fields = Fields::default();
    fields.set("code", code);
    let draft = Draft {
        fields: &fields,
        problems,
        answers: &[],
    };
    let keys = app.store.keys();
    let drawn = DoorPage {
        frame: Frame::bare(app, "Come in"),
        why: why(app),
        takes_passphrase: app.who.at_the_house && keys.passphrase.is_some(),
        takes_code: app.doorkeeper.lets_phones_in(&keys),
        passphrase: Field::secret(&draft, "passphrase", "The keeper's passphrase"),
        code: Field::text(&draft, "code", "Code from the keeper")
            .hint("Eight letters and digits, such as K7Q2-9XRD."),
        then: &typed.then,
        send_to: &typed.send_to,
        packed: typed.packed(),
        typed: typed.lines(),
    };
    let mut answer = (status, page(&drawn)).into_response();
    if status == StatusCode::UNAUTHORIZED {
        let way_in = HeaderValue::from_static("Endpost realm=\"farm\"");
        answer.headers_mut().insert(WWW_AUTHENTICATE, way_in);
    }
    answer
}
