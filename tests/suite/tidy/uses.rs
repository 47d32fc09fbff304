//! Which floors and which packages a file of the source names, also through `super::` and grouped
//! imports. Not here: which it may name (`floors`).

use super::code::{Token, tokens};

/// A path that code names, from the crate's top, with its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    pub path: Vec<String>,
    pub line: usize,
}

/// The module a file of `src/` holds: "src/web/form/mod.rs" is web, form.
pub fn module_of(file: &str) -> Vec<String> {
    let inside = file.trim_start_matches("src/").trim_end_matches(".rs");
    let mut parts: Vec<String> = inside.split('/').map(str::to_owned).collect();
    if matches!(
        parts.last().map(String::as_str),
        Some("mod" | "lib" | "main")
    ) {
        parts.pop();
    }
    parts
}

/// Every path inside this crate that a file names by `crate::` or `super::`.
pub fn inside(file: &str, text: &str) -> Vec<Named> {
    let tokens = tokens(text);
    let module = module_of(file);
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let starts = matches!(token.text.as_str(), "crate" | "super")
            && !(at > 0 && tokens[at - 1].text == "::")
            && !inside_group(&tokens, at);
        if starts {
            let mut reader = Tree {
                tokens: &tokens,
                at,
                found: &mut found,
            };
            reader.read(&module);
        }
    }
    found
}

/// Whether a word opens a branch of a group that was read from its root already.
fn inside_group(tokens: &[Token], at: usize) -> bool {
    let mut depth = 0;
    for back in (0..at).rev() {
        match tokens[back].text.as_str() {
            "}" => depth += 1,
            "{" if depth > 0 => depth -= 1,
            "{" => return back > 0 && tokens[back - 1].text == "::",
            ";" => return false,
            _ => {}
        }
    }
    false
}

/// Reads one path with all its branches.
struct Tree<'a> {
    tokens: &'a [Token],
    at: usize,
    found: &'a mut Vec<Named>,
}

impl Tree<'_> {
    fn text(&self) -> &str {
        self.tokens
            .get(self.at)
            .map_or("", |token| token.text.as_str())
    }

    fn read(&mut self, from: &[String]) {
        let mut path = from.to_vec();
        let line = self.tokens[self.at].line;
        loop {
            match self.text() {
                "crate" => path.clear(),
                "super" => {
                    path.pop();
                }
                "self" => {}
                "{" => return self.branches(&path),
                word => path.push(word.to_owned()),
            }
            self.at += 1;
            if self.text() != "::" {
                break;
            }
            self.at += 1;
        }
        self.found.push(Named { path, line });
    }

    fn branches(&mut self, from: &[String]) {
        self.at += 1;
        while self.at < self.tokens.len() && self.text() != "}" {
            if self.text() == "," {
                self.at += 1;
                continue;
            }
            self.read(from);
            while !matches!(self.text(), "," | "}" | "") {
                self.at += 1;
            }
        }
        self.at += 1;
    }
}

/// The lines on which code names a package or a part of the standard library, such as "std::fs".
pub fn outside(text: &str, wanted: &str) -> Vec<usize> {
    let tokens = tokens(text);
    let wanted: Vec<&str> = wanted
        .split("::")
        .flat_map(|part| ["::", part])
        .skip(1)
        .collect();
    let opens = |at: usize| {
        let before = |back: usize| at.checked_sub(back).map(|at| tokens[at].text.as_str());
        match before(1) {
            // `::sqlx` is the package, `row::sqlx` is not.
            Some("::") => before(2).is_none_or(|word| word == "use" || !is_word(word)),
            Some("." | "fn" | "mod" | "let") => false,
            _ => true,
        }
    };
    let is_path = |at: usize| {
        tokens.get(at).is_some_and(|next| next.text == "::")
            || at >= 2 && matches!(tokens[at - 1 - wanted.len()].text.as_str(), "use" | "crate")
    };
    (0..tokens.len())
        .filter(|at| {
            let here = tokens[*at..].iter().map(|token| token.text.as_str());
            here.take(wanted.len()).eq(wanted.iter().copied())
                && opens(*at)
                && (wanted.len() > 1 || is_path(at + wanted.len()))
        })
        .map(|at| tokens[at].line)
        .collect()
}

fn is_word(text: &str) -> bool {
    text.starts_with(|letter: char| letter.is_alphanumeric() || letter == '_')
}

#[test]
fn paths_are_found_in_groups_and_through_super() {
    let text = "use crate::{science::{a, b::{c, d}}, web};\nuse super::super::{store::x, self};\n\
                fn f() { crate::program::go(); super::near(); }";
    let found = inside("src/store/ledger/door.rs", text);
    let paths: Vec<String> = found.iter().map(|one| one.path.join("::")).collect();
    assert_eq!(
        paths,
        [
            "science::a",
            "science::b::c",
            "science::b::d",
            "web",
            "store::store::x",
            "store",
            "program::go",
            "store::ledger::near",
        ]
    );
    assert_eq!(found[4].line, 2);
}

#[test]
fn packages_are_found_however_they_are_named() {
    for text in [
        "use sqlx::Row;",
        "use ::sqlx::Row;",
        "use {a, sqlx::Row};",
        "let x = sqlx::query(y);",
        "#[derive(sqlx::FromRow)]",
        "use sqlx as database;",
        "extern crate sqlx;",
    ] {
        assert_eq!(outside(text, "sqlx"), [1], "{text}");
    }
    for text in [
        "// sqlx::query",
        "let sqlx = 1;",
        "row::sqlx::x()",
        "\"sqlx::query\"",
    ] {
        assert_eq!(outside(text, "sqlx"), Vec::<usize>::new(), "{text}");
    }
    assert_eq!(outside("\nstd::fs::read(x)", "std::fs"), [2]);
    assert_eq!(outside("std::fmt::Display", "std::fs"), Vec::<usize>::new());
}
