//! Problems as the summary of a page lists them: each under the label of its field.
//! Not here: the problems (`reader`), and HTML (`templates/parts/summary.html`).

use super::Problem;
use super::labelled::Labels;
use super::view::{Control, Field, Group};

/// A problem with the label of its field. A field of many lines has none, since its problems name
/// their line.
pub struct Told<'a> {
    pub label: Option<String>,
    pub problem: &'a Problem,
}

/// All problems of a page.
pub struct Summary<'a> {
    pub told: Vec<Told<'a>>,
    /// Some of them are questions, which the next save settles.
    pub asks: bool,
}

impl<'a> Summary<'a> {
    /// For a page of groups, whose labels may need their legends.
    pub fn in_groups(problems: &'a [Problem], groups: &[Group]) -> Self {
        let labels = Labels::of_groups(groups);
        let fields: Vec<&Field> = groups.iter().flat_map(|group| &group.fields).collect();
        told(problems, &fields, |field| labels.of_field(&field.name))
    }

    /// For a page of single fields.
    pub fn beside<'f>(
        problems: &'a [Problem],
        fields: impl IntoIterator<Item = &'f Field>,
    ) -> Self {
        let fields: Vec<&Field> = fields.into_iter().collect();
        told(problems, &fields, |field| field.label.clone())
    }
}

fn told<'a>(
    problems: &'a [Problem],
    fields: &[&Field],
    label: impl Fn(&Field) -> String,
) -> Summary<'a> {
    let told = problems
        .iter()
        .map(|problem| Told {
            label: fields
                .iter()
                .find(|one| one.name == problem.field && !matches!(one.control, Control::Area))
                .map(|field| label(field)),
            problem,
        })
        .collect();
    Summary {
        told,
        asks: problems.iter().any(|one| one.asked.is_some()),
    }
}
