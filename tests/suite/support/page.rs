//! Reads an answer as a person with a browser would: its status, its words, its links, and the
//! fields of its form with what stands in them. Not here: sending (`farm`).

use reqwest::Response;
use reqwest::header::{HeaderMap, LOCATION};
use scraper::{ElementRef, Html, Selector};

/// An answer, read to its end.
#[derive(Debug)]
pub struct Page {
    pub path: String,
    pub status: u16,
    pub headers: HeaderMap,
    pub body: String,
}

/// The form of a page: where it posts to, and every field as a browser would send it.
#[derive(Debug)]
pub struct PageForm {
    pub path: String,
    pub fields: Vec<(String, String)>,
}

/// A selector that is known to be one.
pub fn selector(text: &str) -> Selector {
    Selector::parse(text).unwrap_or_else(|_| panic!("not a selector: {text}"))
}

impl Page {
    pub async fn read(path: &str, answer: Response) -> Self {
        Self {
            path: path.to_owned(),
            status: answer.status().as_u16(),
            headers: answer.headers().clone(),
            body: answer.text().await.expect("a body to its end"),
        }
    }

    pub fn document(&self) -> Html {
        Html::parse_document(&self.body)
    }

    /// A header as text; empty when it is not there.
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .and_then(|value| value.to_str().ok())
            .unwrap_or("")
    }

    /// The words between `<body>` and its end, single blanks between them.
    pub fn text(&self) -> String {
        self.text_of("body").join(" ")
    }

    /// The words of each element that a selector finds.
    pub fn text_of(&self, wanted: &str) -> Vec<String> {
        let document = self.document();
        document
            .select(&selector(wanted))
            .map(|element| words(&element))
            .collect()
    }

    /// The values of one attribute of each element that a selector finds.
    pub fn attributes(&self, wanted: &str, name: &str) -> Vec<String> {
        let document = self.document();
        document
            .select(&selector(wanted))
            .filter_map(|element| element.attr(name).map(str::to_owned))
            .collect()
    }

    /// Where every link leads.
    pub fn links(&self) -> Vec<String> {
        self.attributes("a[href]", "href")
    }

    /// Whether an element has this id.
    pub fn has_id(&self, id: &str) -> bool {
        self.attributes("[id]", "id").iter().any(|one| one == id)
    }

    /// Where a redirect leads.
    pub fn location(&self) -> &str {
        let location = self.headers.get(LOCATION);
        location
            .unwrap_or_else(|| panic!("{} leads nowhere: {}", self.path, self.text()))
            .to_str()
            .expect("a readable address")
    }

    /// Holds that this is a redirect to an address that begins so.
    pub fn sent_to(&self, beginning: &str) -> &Self {
        assert_eq!(self.status, 303, "{}: {}", self.path, self.text());
        let location = self.location();
        assert!(location.starts_with(beginning), "it leads to {location}");
        self
    }

    /// The first form that posts.
    pub fn form(&self) -> PageForm {
        let document = self.document();
        let form = document
            .select(&selector("form[method=post]"))
            .next()
            .unwrap_or_else(|| panic!("{} has no form: {}", self.path, self.text()));
        PageForm {
            path: form.attr("action").unwrap_or(&self.path).to_owned(),
            fields: successful_fields(form),
        }
    }

    /// All that stands in the fields of one name.
    pub fn typed(&self, name: &str) -> Vec<String> {
        let fields = self.form().fields;
        fields
            .into_iter()
            .filter(|(found, _)| found == name)
            .map(|(_, value)| value)
            .collect()
    }
}

/// The words of an element; what is only there for the machine is left out.
fn words(element: &ElementRef) -> String {
    let text: String = element
        .descendants()
        .filter(|node| {
            !node.ancestors().any(|above| {
                above
                    .value()
                    .as_element()
                    .is_some_and(|one| one.name() == "style")
            })
        })
        .filter_map(|node| node.value().as_text().map(|text| format!("{} ", text.text)))
        .collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The fields a browser sends when the form's last button is not one with a name.
fn successful_fields(form: ElementRef) -> Vec<(String, String)> {
    let mut fields = Vec::new();
    for control in form.select(&selector("input[name], textarea[name], select[name]")) {
        let name = control.attr("name").unwrap_or_default().to_owned();
        let kind = control.attr("type").unwrap_or("text");
        let value = match (control.value().name(), kind) {
            ("textarea", _) => Some(control.text().collect::<String>()),
            ("select", _) => control
                .select(&selector("option[selected]"))
                .next()
                .map(|option| option.attr("value").unwrap_or_default().to_owned()),
            (_, "radio" | "checkbox") => control
                .attr("checked")
                .map(|_| control.attr("value").unwrap_or("on").to_owned()),
            _ => Some(control.attr("value").unwrap_or_default().to_owned()),
        };
        fields.extend(value.map(|value| (name, value)));
    }
    fields
}
