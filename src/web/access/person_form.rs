//! The form of a person: initials that stand beside entries.
//! Not here: what they may do.

use crate::science::access::Person;
use crate::store::ledger::{Fields, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader};
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// One person on the list.
pub struct PersonForm;

impl Form for PersonForm {
    fn kind(&self) -> Kind {
        Kind::Person
    }

    fn heading(&self) -> &'static str {
        "A person"
    }

    fn path(&self) -> &'static str {
        "/people"
    }

    fn blank(&self, _known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("here", "yes");
        fields
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        vec![Group::open(vec![
            Field::text(draft, "initials", "Initials")
                .hint("Two or three letters, as they stand beside entries."),
            Field::text(draft, "name", "Name").hint("May stay empty."),
            Field::tick(draft, "here", "Works here now: offer the initials on forms"),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let initials = reader.needed("initials", "Type the initials.")?;
        let plain = initials
            .chars()
            .all(|letter| letter.is_ascii_alphanumeric());
        if !plain || initials.len() > 8 {
            reader.wrong(
                "initials",
                "Initials are up to eight plain letters or digits.",
            );
            return None;
        }
        let taken = known.people.iter().any(|one| one.initials == initials);
        if taken && reader.correcting.is_none() {
            reader.wrong("initials", "Another person has these initials.");
            return None;
        }
        let person = Person {
            initials,
            name: reader.text("name"),
            here: reader.tick("here"),
        };
        Some(person.into())
    }

    fn read_back(&self, values: &Values, _known: &Known) -> ReadBack {
        let Values::Person(person) = values else {
            return ReadBack::default();
        };
        let mut read = ReadBack::titled(format!("Person {}", person.initials));
        read.maybe("Name", person.name.as_deref());
        read.line("Here now", if person.here { "yes" } else { "no" });
        read.place = Some(("/people".to_owned(), "All people".to_owned()));
        read
    }
}
