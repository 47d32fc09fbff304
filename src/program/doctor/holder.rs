//! Which program holds a port, as Linux tells it: the socket's number in /proc/net/tcp, and the
//! process that has it open. Elsewhere nothing is told.

use std::fmt;
use std::fs;
use std::path::Path;

/// A program that listens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Holder {
    Process {
        number: u32,
        name: String,
    },
    /// A process of another user, which only root may look at.
    Unseen,
}

impl fmt::Display for Holder {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Process { number, name } => write!(out, "{name} (process {number})"),
            Self::Unseen => write!(out, "a program of another user"),
        }
    }
}

/// Who listens on a port.
pub fn of(port: u16) -> Option<Holder> {
    let tables = ["/proc/net/tcp", "/proc/net/tcp6"].map(fs::read_to_string);
    let sockets: Vec<u64> = tables
        .iter()
        .flatten()
        .flat_map(|table| listening(table, port))
        .collect();
    if sockets.is_empty() {
        return None;
    }
    Some(process_of(&sockets).unwrap_or(Holder::Unseen))
}

/// The numbers of the sockets that listen on a port, from one of the system's tables.
pub fn listening(table: &str, port: u16) -> Vec<u64> {
    const LISTENS: &str = "0A";
    let of_line = |line: &str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let (_, digits) = words.get(1)?.rsplit_once(':')?;
        let is_it = u16::from_str_radix(digits, 16) == Ok(port) && words.get(3) == Some(&LISTENS);
        words.get(9).filter(|_| is_it)?.parse().ok()
    };
    table.lines().skip(1).filter_map(of_line).collect()
}

fn process_of(sockets: &[u64]) -> Option<Holder> {
    let wanted: Vec<String> = sockets
        .iter()
        .map(|one| format!("socket:[{one}]"))
        .collect();
    let processes = fs::read_dir("/proc").ok()?.flatten();
    for process in processes {
        let Some(number) = process
            .file_name()
            .to_str()
            .and_then(|name| name.parse().ok())
        else {
            continue;
        };
        if has_open(&process.path(), &wanted) {
            let name = fs::read_to_string(process.path().join("comm")).ok()?;
            return Some(Holder::Process {
                number,
                name: name.trim().to_owned(),
            });
        }
    }
    None
}

fn has_open(process: &Path, wanted: &[String]) -> bool {
    let Ok(files) = fs::read_dir(process.join("fd")) else {
        return false;
    };
    files.flatten().any(|file| {
        let target = fs::read_link(file.path());
        target.is_ok_and(|target| wanted.iter().any(|one| Path::new(one) == target))
    })
}
