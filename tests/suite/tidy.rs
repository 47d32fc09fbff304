//! The rules of the house that no compiler holds, each as a function from a text to its breaches,
//! tried on a planted slip as well. DEVELOPERS.md says why they are there.
//! Not here: behaviour.

mod code;
mod durability;
mod files;
mod floors;
mod landed;
mod licences;
mod promises;
mod templates;
mod uses;

use std::path::Path;

/// A place where a rule is broken: file, line, and what is wrong there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Breach(String);

impl Breach {
    pub fn at(file: &str, line: usize, what: impl AsRef<str>) -> Self {
        Self(format!("{file}:{line}: {}", what.as_ref()))
    }
}

/// A file of the project: its path from the top, with strokes, and its text.
pub struct File {
    pub path: String,
    pub text: String,
}

/// The project's top folder.
pub fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every text file of the project, but for what is built and what belongs to version control.
pub fn all_files() -> Vec<File> {
    let mut found = Vec::new();
    collect(top(), "", &mut found);
    assert!(found.len() > 100, "the project's files are not found");
    found
}

fn collect(folder: &Path, before: &str, found: &mut Vec<File>) {
    let mut inside: Vec<_> = std::fs::read_dir(folder)
        .expect("a folder of the project")
        .map(|file| file.expect("a file"))
        .collect();
    inside.sort_by_key(std::fs::DirEntry::file_name);
    for file in inside {
        let name = file.file_name().to_string_lossy().into_owned();
        let path = format!("{before}{name}");
        if file.path().is_dir() {
            if !matches!(path.as_str(), ".git" | "target") {
                collect(&file.path(), &format!("{path}/"), found);
            }
        } else if path != ".git"
            && let Ok(text) = std::fs::read_to_string(file.path())
        {
            found.push(File { path, text });
        }
    }
}

/// The files below a folder with an ending.
pub fn files_in(folder: &str, ending: &str) -> Vec<File> {
    let mut found = all_files();
    found.retain(|file| file.path.starts_with(folder) && file.path.ends_with(ending));
    assert!(!found.is_empty(), "nothing in {folder} ends with {ending}");
    found
}

/// Fails with every breach on a line of its own.
pub fn none(breaches: Vec<Breach>) {
    let lines: Vec<String> = breaches.into_iter().map(|Breach(line)| line).collect();
    assert!(lines.is_empty(), "\n{}\n", lines.join("\n"));
}
