//! All that helpers are told, in finished words: the screen, the map and the sheet say the same.
//! Not here: how it is set (`templates/helpers`).

use uuid::Uuid;

use super::dial::{Piece, pieces};
use super::map::{self, BlockDrawn};
use crate::science::helpers::DayList;
use crate::science::places::{Address, Farm, RowLayout, VineAddress, read_back};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::known::Known;
use crate::web::sprays::{Holds, SameSaid, THE_LABEL};
use crate::web::words;

/// What stands on the screen and on the sheet.
pub struct Told {
    pub farm: Farm,
    /// "Fri 10 Sept 2027"
    pub date: String,
    pub printed: String,
    pub data_up_to: String,
    pub emergency_number: Vec<Piece>,
    pub emergency_phone: Vec<Piece>,
    pub poison_line: Vec<Piece>,
    /// Who is asked first: the name, or "the keeper".
    pub who: String,
    pub phone: Vec<Piece>,
    pub second_phone: Vec<Piece>,
    /// A spray waits to be mended: all blocks are in doubt.
    pub to_mend: bool,
    pub closed: Vec<SameSaid>,
    pub to_ask_about: Vec<SameSaid>,
    pub the_label: &'static str,
    pub list: Option<DayList>,
    pub example: Option<Example>,
    pub blocks: Vec<BlockDrawn>,
    /// For the keeper alone: what to change, or to write.
    pub records: Option<Records>,
}

/// An address of this farm, and what it says.
pub struct Example {
    pub address: String,
    pub words: String,
}

/// The records that the keeper changes, where there are any.
pub struct Records {
    pub farm: Option<Uuid>,
    pub today: Option<Uuid>,
    pub tomorrow: Option<Uuid>,
    /// "2027-09-11"
    pub tomorrow_is: String,
}

impl Told {
    /// None before the first start is done.
    pub async fn now(app: &App) -> Result<Option<(Known, Self)>, PageError> {
        let mut read = app.store.read().await?;
        let known = Known::from(&mut read, app).await?;
        let Some(mut farm) = known.farm.clone() else {
            return Ok(None);
        };
        if !app.who.sees_names() {
            farm.for_helpers.who_to_ask = None;
            farm.for_helpers.second_person = None;
        }
        let holds = Holds::now(&mut read, &known).await?;
        let list = read.day_list(known.today).await?;
        let tomorrow = known.today.succ_opt().unwrap_or(known.today);
        let records = Records {
            farm: known.farm_record,
            today: list.as_ref().map(|(record, _)| *record),
            tomorrow: read.day_list(tomorrow).await?.map(|(record, _)| record),
            tomorrow_is: tomorrow.to_string(),
        };
        let dial = |text: &Option<String>| text.as_deref().map(pieces).unwrap_or_default();
        let helpers = &farm.for_helpers;
        let told = Self {
            date: words::day_and_year(known.today),
            printed: words::moment(&known.now, known.today),
            data_up_to: known.data_up_to(),
            emergency_number: dial(&helpers.emergency_number),
            emergency_phone: dial(&farm.emergency_phone),
            poison_line: dial(&farm.poison_line),
            who: (helpers.who_to_ask.clone()).unwrap_or_else(|| "the keeper".to_owned()),
            phone: dial(&farm.keeper_phone),
            second_phone: dial(&helpers.second_phone),
            to_mend: holds.to_mend,
            closed: holds.closed_now(&known),
            to_ask_about: holds.to_ask_about(),
            the_label: THE_LABEL,
            list: list.map(|(_, list)| list),
            example: example(&known.all_rows()),
            blocks: map::blocks(&holds, &known),
            records: app.who.is_keeper().then_some(records),
            farm,
        };
        Ok(Some((known, told)))
    }
}

/// The second vine of the seventh panel, or the nearest to it, of a row in the middle of the farm.
fn example(rows: &[RowLayout]) -> Option<Example> {
    let with_vines: Vec<&RowLayout> = rows.iter().filter(|row| row.positions() > 0).collect();
    let row = with_vines.get(with_vines.len() / 2)?;
    let with_vines = (1..=row.panel_count()).filter(|panel| row.vines_in(*panel) > 0);
    let panel = with_vines.min_by_key(|panel| panel.abs_diff(7))?;
    let address = Address::Vine(VineAddress {
        row: row.label.clone(),
        panel,
        vine: row.vines_in(panel).min(2),
    });
    Some(Example {
        address: address.to_string(),
        words: read_back(&address, rows),
    })
}
