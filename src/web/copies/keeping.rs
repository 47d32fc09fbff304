//! What is known of the copies of the farm's data: which there are, what went wrong last, how the
//! second place stands. The program notes it, pages tell it.
//! Not here: making copies (`program`).

use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, Utc};

use crate::science::copies::CopyName;
use crate::web::words::counted;

/// What the program noted last; cheap to clone.
#[derive(Clone, Default)]
pub struct Keeping(Arc<Mutex<Kept>>);

/// The copies and the places they lie in.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    /// The database that is copied, and the folder of its copies; empty where nobody looks after
    /// them, as in the demo.
    pub database: String,
    pub folder: String,
    /// The oldest first.
    pub copies: Vec<Copy>,
    /// When the last copy that came to nothing was tried, and why it did.
    pub failed: Option<(DateTime<Utc>, String)>,
    pub second: Option<Second>,
    /// Of a damaged database no copy can be shown.
    pub nothing_to_show: bool,
    /// What was kept beside a damaged database and is still not in.
    pub left_beside: Option<LeftBeside>,
    /// When SQLite's full look at the database was taken last, and how many faults it found.
    pub looked: Option<(DateTime<Utc>, usize)>,
}

/// Lines of the side log that were not entered.
#[derive(Clone, Debug)]
pub struct LeftBeside {
    pub lines: usize,
    /// Where they lie.
    pub file: String,
    /// Whether the next start tries again.
    pub is_tried_again: bool,
}

/// A copy in the data folder.
#[derive(Clone, Debug)]
pub struct Copy {
    pub name: CopyName,
    pub bytes: u64,
    /// Its SHA-256 when it was made and looked into.
    pub sha256: Option<String>,
}

/// The second place.
#[derive(Clone, Debug, Default)]
pub struct Second {
    pub path: String,
    /// Whether it was there when it was looked at last.
    pub is_there: bool,
    /// How many copies lie there; none known before it was looked at.
    pub copies: Option<usize>,
    /// Copies in the data folder that are not what they were, and were not brought there.
    pub spoiled: Vec<String>,
    /// Why nothing can be brought there.
    pub trouble: Option<String>,
}

impl Keeping {
    /// What is known now.
    pub fn now(&self) -> Kept {
        self.kept().clone()
    }

    /// Notes what has changed.
    pub fn note(&self, change: impl FnOnce(&mut Kept)) {
        change(&mut self.kept());
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What is typed on the farm computer to put a copy back: the one that is shown, or the best of
    /// the folder.
    pub fn restore_command(&self, shown: Option<&Path>) -> Option<String> {
        let kept = self.kept();
        let data = Path::new(&kept.database).parent()?;
        let copy = shown.unwrap_or(Path::new(&kept.folder));
        let (copy, data) = (as_typed(copy), as_typed(data));
        Some(format!("endpost restore {copy} --data {data}"))
    }

    /// What every page must say as long as it is so.
    pub fn alarms(&self) -> Vec<String> {
        let kept = self.kept();
        let failed = kept.failed.as_ref().map(|(_, why)| {
            format!(
                "No copy of the farm's data could be made: {why}. It is tried again every hour."
            )
        });
        let second = kept.second.as_ref().and_then(Second::alarm);
        let spoiled = kept.second.as_ref().and_then(Second::spoiled_here);
        let faults = kept.looked.as_ref().filter(|(_, faults)| *faults > 0);
        let faults = faults.map(|_| {
            "The database has faults; the program's log names them. Stop Endpost, keep the data \
             folder, and put the last good copy back; House, Copies says how."
                .to_owned()
        });
        let left = kept.left_beside.as_ref().map(LeftBeside::alarm);
        [failed, second, spoiled, faults, left]
            .into_iter()
            .flatten()
            .collect()
    }
}

/// A path as a shell takes it.
pub fn as_typed(path: &Path) -> String {
    let path = path.display().to_string();
    match path.contains(char::is_whitespace) {
        true => format!("\"{path}\""),
        false => path,
    }
}

impl LeftBeside {
    fn alarm(&self) -> String {
        let lines = counted(self.lines, "entry", "entries");
        let file = &self.file;
        match self.is_tried_again {
            true => format!(
                "{lines} kept beside the damaged database could not be entered yet. What is missing \
                 stays in {file}; the next start tries again."
            ),
            false => format!(
                "{lines} kept beside the damaged database could not be read and is not in. Keep \
                 {file} and look what stands there; if something is missing, type it in again."
            ),
        }
    }
}

impl Second {
    fn alarm(&self) -> Option<String> {
        let trouble = self.trouble.as_ref()?;
        Some(format!(
            "The second place for copies, {}: {trouble}. Until then all copies lie on one disk.",
            self.path
        ))
    }

    fn spoiled_here(&self) -> Option<String> {
        if self.spoiled.is_empty() {
            return None;
        }
        Some(format!(
            "Not what it was when it was made, and not brought to the second place: {}. The farm \
             computer's own disk may be failing. All other copies are brought.",
            self.spoiled.join(", ")
        ))
    }
}
