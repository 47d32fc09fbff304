//! What every column means, in the words of the data dictionary. A test holds it complete.
//! Not here: the tables (`catalogue`).

/// What kind of value a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Is {
    Id,
    Text,
    Json,
    Whole,
    Number,
    YesNo,
    Date,
    Time,
    Moment,
    Bytes,
}

impl Is {
    const ALL: [(Is, &'static str, &'static str); 10] = [
        (Is::Id, "id", "identifier (UUID)"),
        (Is::Text, "text", "text"),
        (Is::Json, "json", "text (JSON)"),
        (Is::Whole, "whole", "whole number"),
        (Is::Number, "number", "number"),
        (Is::YesNo, "yesno", "1 yes, 0 no"),
        (Is::Date, "date", "date, YYYY-MM-DD"),
        (Is::Time, "time", "time of day, HH:MM"),
        (Is::Moment, "moment", "moment (RFC 3339)"),
        (Is::Bytes, "bytes", "bytes (hexadecimal)"),
    ];

    /// The words of the dictionary.
    pub fn words(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(is, _, _)| *is == self)
            .map_or("", |(_, _, words)| words)
    }
}

/// One column of one table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    pub table: &'static str,
    pub name: &'static str,
    pub is: Is,
    pub unit: &'static str,
    pub meaning: &'static str,
}

/// The meaning of a column.
pub fn of(table: &str, name: &str) -> Option<Column> {
    all().find(|column| (column.table, column.name) == (table, name))
}

/// All columns that have a meaning.
pub fn all() -> impl Iterator<Item = Column> {
    COLUMNS.lines().filter_map(|line| {
        let mut parts = line.splitn(4, '|').map(str::trim);
        let (place, is, unit, meaning) =
            (parts.next()?, parts.next()?, parts.next()?, parts.next()?);
        let (table, name) = place.split_once('.')?;
        let (is, _, _) = Is::ALL.iter().find(|(_, word, _)| *word == is)?;
        Some(Column {
            table,
            name,
            is: *is,
            unit,
            meaning,
        })
    })
}

/// Table and column, kind, unit, meaning.
const COLUMNS: &str = "\
ledger.arrival_no | whole | | order of arrival, counted from 1
ledger.id | id | | the entry, made where it was typed
ledger.kind | text | | which form it was typed into
ledger.form_version | whole | | version of that form
ledger.subject | id | | what it speaks of: the first entry of the record it corrects or mends, or the entry it takes back or settles
ledger.record | id | | first entry of the record it belongs to; its own id if it begins one
ledger.fields | json | | the text of each field exactly as typed
ledger.values | json | | what was understood; empty for an entry kept as typed
ledger.rule_version | whole | | version of the rules by which it was understood
ledger.state | text | | stored, held (kept as typed, in no sum), conflict (same id, other contents) or void (taken back)
ledger.own_state | text | | the same without regard to what was taken back or mended afterwards
ledger.took_effect | whole | | arrival number of the entry by which its values came to count; the highest of a record is in force; empty if they never counted
ledger.voided_by | id | | the entry that takes it back
ledger.problems | json | | why it was held, in sentences; they stay when it is mended
ledger.twin_of | id | | the entry that came first under the same id
ledger.fingerprint | bytes | | SHA-256 over kind, form version, the subject it was sent with, and fields, by which a repeat is known
ledger.person | text | | initials of the one who wrote it
ledger.device_id | id | | the phone or computer it came from
ledger.came_by | id | | the session by which it came; null where no session was needed
ledger.seq | whole | | counting number of that device
ledger.source | text | | phone, paper, import, demo or house
ledger.card_code | text | | code printed on the paper card
ledger.happened_date | date | | day on which it happened, by the farm's calendar
ledger.happened_time | time | | time of that day, by the farm's clock
ledger.happened_offset | whole | min | minutes the farm's clock was ahead of UTC
ledger.typed_at | moment | UTC | when it was typed, by the device's clock
ledger.sent_at | moment | UTC | when it was sent, by the device's clock
ledger.received_at | moment | UTC | when the house had it
ledger.skew_s | whole | s | seconds between sending and receiving; empty where this computer's clock could not be right
ledger.base | id | | version of its record that a change began with
ledger.overtaken_by | id | | version that was in force when the change arrived, if that was another
ledger.no_client_id | yesno | | the page carried no id, so that the house made one
farm.one | whole | | always 1: there is one farm
farm.id | id | | first entry of the record
farm.entry | id | | entry whose values are in force
farm.name | text | | name of the place
farm.zone | text | | time zone by the IANA list
farm.temperature_unit | text | | unit in which pages show temperatures
farm.mass_unit | text | | unit in which pages show weights
farm.length_unit | text | | unit in which pages show lengths and rain
farm.address | text | | address and how to find the gate
farm.keeper_phone | text | | the keeper's phone
farm.emergency_place | text | | nearest emergency medical place
farm.emergency_phone | text | | its phone
farm.emergency_address | text | | its address
farm.poison_line | text | | phone of the poison line
farm.emergency_number | text | | number to dial in an emergency
farm.who_to_ask | text | | name of whom helpers ask
farm.second_person | text | | name of a second person to ask
farm.second_phone | text | | phone of the second person
farm.water | text | | where drinking water is
farm.toilet | text | | where the toilet is
farm.first_aid | text | | where first aid is
assumptions.one | whole | | always 1: there is one set
assumptions.id | id | | first entry of the record
assumptions.entry | id | | entry whose values are in force
assumptions.assumptions | json | | the figures of judgement, each in the unit of its name
person.id | id | | first entry of the record
person.entry | id | | entry whose values are in force
person.initials | text | | initials as they stand beside entries
person.name | text | | name
person.here | yesno | | works here now
block.id | id | | first entry of the record
block.entry | id | | entry whose values are in force
block.name | text | | the block's name, best the letter on its posts
block.variety | text | | variety
block.note | text | | note
block_rows.id | id | | first entry of the record
block_rows.entry | id | | entry whose values are in force
block_rows.block | id | | the block
block_rows.from_date | date | | day from which the block has these rows
block_rows.arrival | whole | | order of arrival of the record
block_row.block_rows | id | | the list this row belongs to
block_row.place | whole | | place in the list, counted from 0
block_row.label | text | | label painted on the end posts
block_row.panels | json | | vine positions of each panel, from the home end
vine_event.id | id | | first entry of the record
vine_event.entry | id | | entry whose values are in force
vine_event.row_label | text | | row
vine_event.panel | whole | | panel, counted from the home end
vine_event.vine | whole | | vine in the panel, counted from the home end
vine_event.on_date | date | | day
vine_event.change | text | | what happened: planted, gone, weak, replanted or grafted
vine_event.variety | text | | variety, if replanted or grafted
vine_event.bearing_from | whole | | first year of crop
vine_event.arrival | whole | | order of arrival of the record
target.id | id | | first entry of the record
target.entry | id | | entry whose values are in force
target.block | id | | the block
target.from_date | date | | day from which this is wanted
target.brix_low | number | °Brix | at least; empty is open
target.brix_aim | number | °Brix | aim
target.brix_high | number | °Brix | at most; empty is open
target.ph_low | number | pH | at least; empty is open
target.ph_aim | number | pH | aim
target.ph_high | number | pH | at most; empty is open
target.ta_low | number | g/L | acid as tartaric, at least; empty is open
target.ta_aim | number | g/L | acid as tartaric, aim
target.ta_high | number | g/L | acid as tartaric, at most; empty is open
target.season_end_month | whole | | month of the season end
target.season_end_day | whole | | day of that month
target.arrival | whole | | order of arrival of the record
instrument.id | id | | first entry of the record
instrument.entry | id | | entry whose values are in force
instrument.name | text | | name
instrument.compensated | yesno | | compensates for temperature by itself
instrument.zero_offset | number | °Brix | what pure water reads at 20 °C
instrument.zeroed_on | date | | day on which it was last zeroed
instrument.note | text | | note
sample.id | id | | first entry of the record
sample.entry | id | | entry whose values are in force
sample.block | id | | the block
sample.on_date | date | | day on which the fruit was picked
sample.at_time | time | | time of that day
sample.method | text | | bags, or stops (single vines or clusters)
sample.rows_covered | json | | labels of the rows covered; an empty list is the whole block
sample.instrument | id | | the instrument
sample.instrument_as_used | json | | the instrument as it was on that day
sample.taste | text | | taste
sample.seeds | text | | seeds
sample.skins | text | | skins
sample.rot_percent | number | % | rot, share of the fruit; empty is not looked
sample.animal_percent | number | % | taken by animals, share of the fruit; empty is not looked
sample.rain_since_mm | number | mm | rain since the last sample
sample.frozen | yesno | | the juice had been frozen
sample.two_crops | yesno | | first and second crop hang together
sample.new_series | text | | why a new line begins here
sample.note | text | | note
sample.edge_rows | yesno | | edge rows are among those sampled, for want of others
sample.arrival | whole | | order of arrival of the record
sample_bag.sample | id | | the sample
sample_bag.bag | whole | | number of the bag
sample_bag.berries | whole | | berries in it
sample_bag.weight_g | number | g | weight of its berries
sample_bag.juice_temperature_c | number | °C | temperature of the juice
sample_bag.ta_g_per_l | number | g/L | acid as tartaric
sample_bag.ta_end_point | text | | where the titration ended
sample_reading.sample | id | | the sample
sample_reading.bag | whole | | number of the bag
sample_reading.what | text | | brix or ph
sample_reading.reading | whole | | which look at the same juice, counted from 1
sample_reading.raw | number | °Brix or pH | as read
sample_reading.value | number | °Brix or pH | after zero and temperature correction
sample_stop.sample | id | | the sample
sample_stop.stop | whole | | which stop, counted from 1
sample_stop.row_label | text | | row, if the place was written down
sample_stop.panel | whole | | panel
sample_stop.vine | whole | | vine
sample_stop.raw | number | °Brix | as read
sample_stop.brix | number | °Brix | after zero correction
sample_skipped.sample | id | | the sample
sample_skipped.place | whole | | place in the walk, counted from 0
sample_skipped.row_label | text | | row
sample_skipped.panel | whole | | panel
sample_skipped.vine | whole | | vine
sample_skipped.why | text | | skip, gone or odd
sample_skipped.note | text | | note
weather.id | id | | first entry of the record
weather.entry | id | | entry whose values are in force
weather.on_date | date | | day
weather.at_time | time | | time of the rain
weather.rain_mm | number | mm | rain; 0 is looked and none, empty is not measured
weather.low_c | number | °C | lowest temperature
weather.high_c | number | °C | highest temperature
weather.hard_frost | yesno | | hard frost, or one forecast
weather.note | text | | note
weather.arrival | whole | | order of arrival of the record
spray.id | id | | first entry of the record
spray.entry | id | | entry whose values are in force
spray.on_date | date | | day of spraying
spray.started_at | moment | UTC | start of spraying
spray.started_offset_s | whole | s | seconds the farm's clock was then ahead of UTC
spray.ended_at | moment | UTC | end of spraying, from which intervals count; empty keeps the blocks closed
spray.ended_offset_s | whole | s | seconds the farm's clock was then ahead of UTC
spray.volume_l | number | L | volume sprayed
spray.applicator | text | | who sprayed
spray.wind | text | | wind, in words
spray.temperature_c | number | °C | temperature
spray.label_read | yesno | | the label was read
spray.note | text | | note
spray.arrival | whole | | order of arrival of the record
spray_block.spray | id | | the spray
spray_block.place | whole | | place in the list, counted from 0
spray_block.block | id | | a block it touched
spray_row.spray | id | | the spray
spray_row.place | whole | | place in the list, counted from 0
spray_row.label | text | | a row it covered
spray_product.spray | id | | the spray
spray_product.place | whole | | place in the tank list, counted from 0
spray_product.name | text | | product
spray_product.registration | text | | registration number
spray_product.active_ingredients | text | | active ingredients
spray_product.rate | text | | rate, in the label's own words
spray_product.entry_hours | number | h | hours to entry, from the label; empty is not typed and keeps the blocks closed
spray_product.harvest_days | number | d | days to harvest, from the label; empty is not typed and keeps the blocks closed
cluster_card.id | id | | first entry of the record
cluster_card.entry | id | | entry whose values are in force
cluster_card.block | id | | the block; empty for a blank card for any block
cluster_card.on_date | date | | day of counting
cluster_card.at_time | time | | time of counting
cluster_card.note | text | | note
cluster_card.arrival | whole | | order of arrival of the record
cluster_count.cluster_card | id | | the card
cluster_count.place | whole | | place on the card, counted from 0
cluster_count.row_label | text | | row, if the place was written down
cluster_count.panel | whole | | panel
cluster_count.vine | whole | | vine
cluster_count.clusters | whole | | clusters on the vine; 0 is looked and none
cluster_count.remark | text | | remark
cluster_weight.cluster_card | id | | the card
cluster_weight.place | whole | | place on the card, counted from 0
cluster_weight.weight_g | number | g | weight of one cluster
day_list.id | id | | first entry of the record
day_list.entry | id | | entry whose values are in force
day_list.on_date | date | | the day the list is for
day_list.arrival | whole | | order of arrival of the record
day_list_line.day_list | id | | the list
day_list_line.what | text | | to_do or not_to_touch
day_list_line.place | whole | | place of the line in the list, counted from 0
day_list_line.line | text | | the line as typed
card.id | id | | first entry of the record
card.entry | id | | entry whose values are in force
card.code | text | | code printed on the card
card.what | text | | what it is for: walk, berries or clusters
card.block | id | | the block
card.on_date | date | | day on which it was drawn up
card.walk | json | | the vines of a walk, in walking order, with spares and the frame they were drawn from; empty for a blank card
card.arrival | whole | | order of arrival of the record
house.one | whole | | always 1: there is one house
season_closed.id | id | | the record
season_closed.entry | id | | the entry in force
season_closed.year | whole | | the year
season_closed.note | text | | note
house.server_id | id | | this installation
house.db_epoch | id | | this database; a restored copy gets another
house.created_at | moment | UTC | first start
device.id | id | | the phone or computer
device.first_seen | moment | UTC | when it was first heard of
device.last_seen | moment | UTC | when it was last heard of
device.last_seq | whole | | highest counting number of its entries, by which a gap shows; empty where it numbers nothing
device.told_seq | whole | | highest number it told it had given
device.told_waiting | whole | | how many entries it told were waiting on it
device.told_at | moment | UTC | when it told so
device.called | text | | what the keeper calls it
device.same_as | id | | the phone that it is the same as, under an id it has now
told_address.url | text | | the address as it is typed into a browser
told_address.told_at | moment | UTC | when phones were first told it
restore_tried.tried_on | date | | the farm's day on which it was tried
restore_tried.noted_at | moment | UTC | when that was noted
restore_tried.person | text | | initials of who noted it
_sqlx_migrations.version | whole | | number of the migration
_sqlx_migrations.description | text | | its name
_sqlx_migrations.installed_on | text | UTC | when it was applied
_sqlx_migrations.success | yesno | | whether it went through
_sqlx_migrations.checksum | bytes | | SHA-384 of its file
_sqlx_migrations.execution_time | whole | ns | how long it took
";
