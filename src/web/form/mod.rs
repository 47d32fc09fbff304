//! Forms: what every typed page of Endpost has in common. A form is a list of fields in the order
//! of its paper card, and one `check` that turns typed text into values or questions. The same
//! check serves plain posts, envelopes from phones, imports and the demo.
//! Not here: the forms themselves (each in its room), the ledger's door (`store::ledger`).

mod entering;
pub mod handle;
mod labelled;
pub mod overtaken;
pub mod protocol;
mod reader;
mod summary;
mod total;
mod view;

pub use entering::{Entered, Entering, Sent, enter_typed};
pub use labelled::{labelled, let_stand};
pub use protocol::Protocol;
pub use reader::{Number, Offer, Problem, Reader, Reading, answers, bound_words};
pub use summary::Summary;
pub use total::Column;
pub use view::{Choice, Control, Draft, Field, Group};

use crate::science::cards::Card;
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// One typed page.
pub trait Form: Sync {
    fn kind(&self) -> Kind;

    /// Raised when fields change their meaning; older versions stay readable.
    fn version(&self) -> u16 {
        1
    }

    /// The heading of the empty page.
    fn heading(&self) -> &'static str;

    /// A line or two under the heading: what the fields are for, or a caution.
    fn intro(&self, _known: &Known, _vineyard: &Vineyard, _typed: &Fields) -> Vec<String> {
        Vec::new()
    }

    /// Where the page posts to.
    fn path(&self) -> &'static str;

    /// What an empty page starts with. `asked` is what the address of the page names.
    fn blank(&self, _known: &Known, asked: &Fields) -> Fields {
        asked.clone()
    }

    /// What else the page starts with when a paper card is typed in: more lines, places for the
    /// sums pencilled at its foot.
    fn blank_of_card(&self, _card: &Card, _fields: &mut Fields) {}

    /// The fields, in the order of the paper card.
    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group>;

    /// A button that asks for more lines of the same kind, such as another bag.
    fn more(&self) -> Option<&'static str> {
        None
    }

    /// Adds those lines to what was typed.
    fn add_more(&self, _fields: &mut Fields) {}

    /// Whether the check asks what was measured before.
    fn leans_on_samples(&self) -> bool {
        false
    }

    /// Reads all fields, collecting every problem; none when the values can't be understood.
    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values>;

    /// When the thing happened, for the ledger.
    fn happened(&self, _values: &Values) -> Happened {
        Happened::default()
    }

    /// The values in words.
    fn read_back(&self, values: &Values, known: &Known) -> ReadBack;

    /// What else may be to write down after these values: addresses, and what each link says.
    fn also(&self, _values: &Values) -> Vec<(String, String)> {
        Vec::new()
    }

    /// Where to go for the next one, and what the link says.
    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        None
    }
}

/// The form of each kind of entry, for corrections, held entries and whatever comes from afar.
pub fn of(kind: Kind) -> Option<&'static dyn Form> {
    use crate::web::{access, cards, crop, daybook, helpers, places, ripeness, sprays, weather};
    Some(match kind {
        Kind::Farm => &places::FarmForm,
        Kind::Person => &access::PersonForm,
        Kind::Block => &places::BlockForm,
        Kind::Rows => &places::RowsForm,
        Kind::Vine => &places::VineForm,
        Kind::Instrument => &ripeness::InstrumentForm,
        Kind::Target => &ripeness::TargetForm,
        Kind::Assumptions => &ripeness::AssumptionsForm,
        Kind::Sample => &ripeness::SampleForm,
        Kind::Weather => &weather::WeatherForm,
        Kind::Spray => &sprays::SprayForm,
        Kind::Clusters => &crop::ClustersForm,
        Kind::Card => &cards::CardForm,
        Kind::DayList => &helpers::DayForm,
        Kind::SeasonClosed => &daybook::SeasonForm,
        Kind::Unread | Kind::Void | Kind::Choice => return None,
    })
}
