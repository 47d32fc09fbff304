//! What templates may not hold: scripts and styles in the line, handlers, form controls of their
//! own. Not here: what pages look like (`browser`).

use super::{Breach, File, files_in, none};

/// Controls that stand outside the one template part, each with its reason. A hidden field is no
/// control.
const CONTROLS_ELSEWHERE: [(&str, &str, &str); 4] = [
    (
        "templates/places/address.html",
        "q",
        "a question to the address reader; it stores nothing and is no entry",
    ),
    (
        "templates/places/blocks.html",
        "q",
        "the same question, asked from the list of blocks",
    ),
    (
        "templates/phones/outbox.html",
        "text",
        "what lies on the phone, to be copied; nothing is typed there and nothing sent",
    ),
    (
        "templates/ledger/entry.html",
        "reason",
        "why an entry is taken back; it has no check and no problems",
    ),
];

const FIELD: &str = "templates/parts/field.html";

/// The tags of a line: what stands between "<" and ">".
fn tags(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.match_indices('<').filter_map(move |(at, _)| {
        let rest = &text[at + 1..];
        let line = 1 + text[..at].matches('\n').count();
        let opens = rest.starts_with(|letter: char| letter.is_ascii_alphabetic());
        opens.then(|| (line, &rest[..rest.find('>').unwrap_or(rest.len())]))
    })
}

/// The value of an attribute as the template writes it.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let (_, after) = tag.split_once(&format!(" {name}=\""))?;
    after.split('"').next()
}

/// Names of attributes, such as "style" and "onclick".
fn attribute_names(tag: &str) -> Vec<String> {
    tag.split_whitespace()
        .skip(1)
        .filter_map(|part| part.split_once('=').map(|(name, _)| name.to_lowercase()))
        .collect()
}

fn breaches(file: &File) -> Vec<Breach> {
    let mut found = Vec::new();
    for (line, tag) in tags(&file.text) {
        let name = tag
            .split(|letter: char| !letter.is_ascii_alphanumeric())
            .next()
            .unwrap_or_default()
            .to_lowercase();
        let mut wrong = |what: &str| found.push(Breach::at(&file.path, line, what));
        if name == "script" && attribute(tag, "src").is_none() {
            wrong("a script in the line");
        }
        if matches!(name.as_str(), "iframe" | "object" | "embed" | "base") {
            wrong(&format!("<{name}> has no place here"));
        }
        for attribute in attribute_names(tag) {
            if attribute == "style" {
                wrong("a style in the line");
            } else if attribute.len() > 2 && attribute.starts_with("on") {
                wrong(&format!("the handler {attribute}"));
            }
        }
        let hidden = attribute(tag, "type") == Some("hidden");
        let control = matches!(name.as_str(), "input" | "select" | "textarea") && !hidden;
        let field = attribute(tag, "name").unwrap_or_default();
        let listed = CONTROLS_ELSEWHERE
            .iter()
            .any(|(path, name, _)| (*path, *name) == (file.path.as_str(), field));
        if control && file.path != FIELD && !listed {
            wrong(&format!("the control {field:?} belongs in {FIELD}"));
        }
    }
    found
}

#[test]
fn templates_hold_nothing_that_runs_and_draw_controls_in_one_place() {
    let files = files_in("templates/", ".html");
    none(files.iter().flat_map(breaches).collect());
}

#[test]
fn controls_elsewhere_are_still_there() {
    let files = files_in("templates/", ".html");
    for (path, name, reason) in CONTROLS_ELSEWHERE {
        let file = files.iter().find(|file| file.path == path);
        let file = file.unwrap_or_else(|| panic!("{path} is gone; strike it from the list"));
        let written = format!("name=\"{name}\"");
        assert!(
            file.text.contains(&written),
            "{path} has no {name} ({reason})"
        );
    }
}

#[test]
fn a_slip_in_a_template_is_found() {
    let planted = |path: &str, text: &str| {
        breaches(&File {
            path: path.to_owned(),
            text: text.to_owned(),
        })
    };
    for text in [
        "<p>x</p>\n<script>go()</script>",
        "\n<p style=\"color:red\">",
        "\n<button class=\"x\" onclick=\"go()\">",
        "\n<a OnMouseOver=go()>",
        "\n<input name=\"x\" type=\"text\">",
        "\n<select id=\"y\" name=\"y\">",
        "\n<textarea name=\"z\">",
        "\n<iframe src=\"/\">",
    ] {
        let found = planted("templates/house/x.html", text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        assert!(
            found[0].0.starts_with("templates/house/x.html:2:"),
            "{found:?}"
        );
    }
    for text in [
        "<input type=\"hidden\" name=\"entry_id\" value=\"{{ id }}\">",
        "<script src=\"/outbox.js\"></script>",
        "<style>{{ style|safe }}</style>",
        "{% if one < 3 %}on=\"x\"{% endif %}",
    ] {
        assert_eq!(planted("templates/house/x.html", text), [], "{text}");
    }
    assert_eq!(
        planted(FIELD, "<input name=\"{{ f.name }}\" type=\"text\">"),
        []
    );
}
