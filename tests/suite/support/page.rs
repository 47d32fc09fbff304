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
            fields: successful_fields(form, None),
        }
    }

    /// The form of the button with this label, as the button sends it: its own name and value
    /// stand where the button stands.
    pub fn form_of_button(&self, label: &str) -> PageForm {
        let document = self.document();
        let buttons: Vec<ElementRef> = document
            .select(&selector("form[method=post] button"))
            .collect();
        let labels: Vec<String> = buttons.iter().map(words).collect();
        let place = labels
            .iter()
            .position(|one| one == label)
            .unwrap_or_else(|| panic!("no button {label:?} among {labels:?}: {}", self.text()));
        let form = buttons[place]
            .ancestors()
            .filter_map(ElementRef::wrap)
            .find(|above| above.value().name() == "form")
            .expect("a button of a form");
        PageForm {
            path: form.attr("action").unwrap_or(&self.path).to_owned(),
            fields: successful_fields(form, Some(buttons[place])),
        }
    }

    /// The labels of the answers to tap.
    pub fn offers(&self) -> Vec<String> {
        self.text_of("button.offer")
    }

    /// The questions and problems in the summary at the top.
    pub fn questions(&self) -> Vec<String> {
        self.text_of(".summary li > a")
    }

    /// The id in the address of an entry's page.
    pub fn entry(&self) -> &str {
        let path = self.path.split('?').next().unwrap_or_default();
        path.strip_prefix("/entries/")
            .unwrap_or_else(|| panic!("{} is no entry: {}", self.path, self.text()))
    }

    /// The address of the record shown or led to, without what the page said on the way.
    pub fn record(&self) -> String {
        let address = match self.header("location") {
            "" => &self.path,
            location => location,
        };
        address.split('?').next().unwrap_or_default().to_owned()
    }

    /// What a record says behind a label of one of its lists.
    pub fn value_of(&self, label: &str) -> Option<String> {
        let labels = self.text_of("dl dt");
        let values = self.text_of("dl dd");
        assert_eq!(labels.len(), values.len(), "{}", self.path);
        let place = labels.iter().position(|one| one == label)?;
        values.into_iter().nth(place)
    }

    #[track_caller]
    pub fn is_stored(&self) -> &Self {
        assert!(self.path.starts_with("/entries/"), "{}", self.text());
        self.says("Stored")
    }

    /// Holds that nothing was stored and this is asked.
    #[track_caller]
    pub fn asks(&self, question: &str) -> &Self {
        assert_eq!(self.status, 422, "{}: {}", self.path, self.text());
        let asked = self.questions();
        assert!(
            asked.iter().any(|one| one == question),
            "{question:?} in {asked:?}"
        );
        self
    }

    #[track_caller]
    pub fn says(&self, text: &str) -> &Self {
        assert!(self.text().contains(text), "{text:?} in {}", self.text());
        self
    }

    #[track_caller]
    pub fn says_not(&self, text: &str) -> &Self {
        assert!(!self.text().contains(text), "{text:?} in {}", self.text());
        self
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

/// The fields a browser sends, in the order of the page, with the button that was tapped.
fn successful_fields(form: ElementRef, tapped: Option<ElementRef>) -> Vec<(String, String)> {
    let mut fields = Vec::new();
    let controls = "input[name], textarea[name], select[name], button[name]";
    for control in form.select(&selector(controls)) {
        let name = control.attr("name").unwrap_or_default().to_owned();
        let kind = control.attr("type").unwrap_or("text");
        let value = match (control.value().name(), kind) {
            ("button", _) => Some(control)
                .filter(|button| Some(*button) == tapped)
                .map(|button| button.attr("value").unwrap_or_default().to_owned()),
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
