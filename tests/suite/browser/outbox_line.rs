//! A bad line: requests and answers are lost in an order drawn from a seed, while entries are
//! saved, pages reloaded and the browser killed. Every saved entry arrives once.

use std::path::Path;

use crate::support::farm::Farm;
use crate::support::handset::{FORM, Handset, SAVED, gone_home, in_the_rows, rain_of};
use crate::support::line::{Does, Line};

/// Numbers from a seed: splitmix64.
struct Drawn(u64);

impl Drawn {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % most
    }
}

/// Opens the form over a line that works for the moment.
async fn at_the_form(profile: &Path, line: &Line) -> Handset {
    line.does(Does::Pass);
    let phone = Handset::over(profile, line.port).await;
    phone.open(FORM).await;
    phone
}

/// Opens a page that has an element. One that had just heard from the house may go on to its record
/// instead, and for a moment still stand there itself.
async fn opens(phone: &Handset, path: &str, element: &str) {
    for _ in 0..5 {
        phone.browser.ask("window.isOld = true").await;
        phone.open(path).await;
        let is_there =
            format!("return !window.isOld && document.querySelector('{element}') !== null");
        if phone.browser.ask(&is_there).await == true {
            return;
        }
    }
    panic!("{path} does not open");
}

/// Saves on whatever line there is; done once the phone has it.
async fn saves(phone: &Handset, inches: &str) {
    let before = phone.box_holds("entries").await.len();
    phone.rain(inches).await;
    for _ in 0..400 {
        if phone.box_holds("entries").await.len() > before {
            return;
        }
        phone.browser.moment().await;
    }
    panic!("{inches} is not in the box");
}

async fn a_dozen_steps(seed: u64) {
    let farm = Farm::started().await;
    let line = Line::to(&farm.url("")).await;
    let profile = tempfile::tempdir().expect("a folder for the browser");
    let mut drawn = Drawn(seed);
    let mut saved = Vec::new();
    let mut told = Vec::new();
    let mut phone = at_the_form(profile.path(), &line).await;
    for step in 0..12 {
        let does = [Does::Pass, Does::LoseRequests, Does::LoseAnswers][drawn.below(3) as usize];
        match drawn.below(6) {
            0 => {
                told.push("killed".to_owned());
                phone.browser.kill_at_once();
                phone = at_the_form(profile.path(), &line).await;
            }
            1 => {
                told.push(format!("asked to send, {does:?}"));
                line.does(does);
                phone.in_reach().await;
            }
            _ => {
                let inches = format!("0.{}", 20 + step);
                told.push(format!("{inches}, {does:?}"));
                line.does(Does::Pass);
                opens(&phone, FORM, "form[data-form]").await;
                line.does(does);
                saves(&phone, &inches).await;
                saved.push(inches);
            }
        }
    }
    line.does(Does::Pass);
    opens(&phone, "/outbox", "#send-now").await;
    phone.tap("#send-now").await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, saved, "seed {seed}: {told:?}");
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_bad_line_every_entry_arrives_once() {
    for seed in [3, 1027, 77_001, 900_913] {
        a_dozen_steps(seed).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_lost_answer_is_asked_for_again_and_nothing_doubles() {
    let (farm, line, phone) = in_the_rows().await;
    line.does(Does::LoseAnswers);
    phone.rain("0.2").await;
    phone.says(SAVED).await;
    phone.says("1 waiting.").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    line.does(Does::Pass);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    gone_home(farm, phone).await;
}
