//! Every publication the sums rest on, once. Pages print from here, tests cite it.
//! No figures here: each stands beside its formula.

/// A publication.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Work {
    MarylandSampling,
    Rankine1962,
    NailBerrySamples,
    OivRefractometry,
    IcumsaSps3,
    SugarManual,
    NbsC440,
    CrcSucroseDensity,
    OechsleScale,
    EuropeanMustTable,
    PortugueseLeaflet,
    Troost1988,
    TitrationWorkedExample,
    OivTotalAcidity,
    OivPh,
    ForestProducts2015,
    OregonPosts1986,
    FullerPerrine1991,
    AwriReview259,
    Oger2022,
    BritishColumbiaCrop,
    WolfeBerryWeight,
    LindonMalek2022,
    TurnerGrunwald2023,
    Ville1939,
    BaskervilleEmin1969,
    UcDegreeDays,
    EpaWorkerProtection,
    WashingtonCropGuide,
    CaliforniaRule6772,
    RainTradeArticle,
    NistUnits,
}

/// How far a source was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reading {
    /// The passage used was read in the publication or a true copy of it.
    Read,
    /// Only an abstract was read.
    Abstract,
    /// Quoted by another publication.
    SecondHand,
    /// From memory, not confirmed.
    Memory,
}

/// One line of the list of sources.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    pub work: Work,
    /// Short name for links and for tests.
    pub key: &'static str,
    pub text: &'static str,
    pub reading: Reading,
}

/// The line of one publication.
pub fn source(work: Work) -> &'static Source {
    &SOURCES[work as usize]
}

const fn line(work: Work, key: &'static str, reading: Reading, text: &'static str) -> Source {
    Source {
        work,
        key,
        text,
        reading,
    }
}

/// All publications, in the order of [`Work`].
pub const SOURCES: [Source; 32] = [
    line(
        Work::MarylandSampling,
        "maryland-sampling",
        Reading::Read,
        "University of Maryland Extension, Crop Development Sampling: two samples of 100 berries for ±1.0 °Brix, five for ±0.5.",
    ),
    line(
        Work::Rankine1962,
        "rankine-1962",
        Reading::Abstract,
        "Rankine, Cellier and Boehm 1962, American Journal of Enology and Viticulture 13:58: standard error 0.25 % sugar from one cluster on 25 vines or two on 21.",
    ),
    line(
        Work::NailBerrySamples,
        "berry-samples",
        Reading::Read,
        "Nail, Collecting Berry Samples to Assess Grape Maturity, eXtension Grapes.",
    ),
    line(
        Work::OivRefractometry,
        "oiv-as2-02",
        Reading::Read,
        "OIV-MA-AS2-02, refractometry of must, Table I (Oeno 21/2004, revised Oeno 466/2012).",
    ),
    line(
        Work::IcumsaSps3,
        "icumsa-sps3",
        Reading::SecondHand,
        "ICUMSA SPS-3 (1998), Appendix 2, page 8, as printed in a refractometer's manual.",
    ),
    line(
        Work::SugarManual,
        "sugar-manual-1995",
        Reading::SecondHand,
        "Bubnik and others 1995, Sugar Technologists Manual: density of sucrose solutions; the same set stands in OIML G 14.",
    ),
    line(
        Work::NbsC440,
        "nbs-c440",
        Reading::SecondHand,
        "National Bureau of Standards Circular C440: Brix and specific gravity 20/20, by a published cubic fit.",
    ),
    line(
        Work::CrcSucroseDensity,
        "crc-sucrose",
        Reading::SecondHand,
        "CRC Handbook of Chemistry and Physics: density of aqueous sucrose at 20 °C.",
    ),
    line(
        Work::OechsleScale,
        "oechsle",
        Reading::Read,
        "The Oechsle scale by its definition: 1000 (specific gravity − 1).",
    ),
    line(
        Work::EuropeanMustTable,
        "european-must-table",
        Reading::SecondHand,
        "European must table (OIV-MA-AS2-02, Table II) and its linear fit, % vol = 0.6757 °Brix − 2.0839 for 15 to 25 °Brix, as printed in refractometers' manuals.",
    ),
    line(
        Work::PortugueseLeaflet,
        "alcohol-leaflet",
        Reading::Read,
        "Portuguese leaflet on potential alcohol with the factor 0.57; other leaflets and manuals use 0.55 to 0.59.",
    ),
    line(
        Work::Troost1988,
        "troost-1988",
        Reading::SecondHand,
        "Troost 1988: Oechsle, sugar and potential alcohol, as quoted by a growers' lexicon.",
    ),
    line(
        Work::TitrationWorkedExample,
        "titration-example",
        Reading::Read,
        "Laboratory sheets for titratable acidity: 15 mL and 12 mL of 0.1 N give 6.0 g/L as tartaric acid.",
    ),
    line(
        Work::OivTotalAcidity,
        "oiv-as313-01",
        Reading::Read,
        "OIV-MA-AS313-01, Total acidity: titration to pH 7; North American practice titrates to pH 8.2.",
    ),
    line(
        Work::OivPh,
        "oiv-as313-15",
        Reading::Read,
        "OIV-MA-AS313-15, pH (resolution OIV-OENO 438-2011).",
    ),
    line(
        Work::ForestProducts2015,
        "posts-mississippi",
        Reading::Abstract,
        "Forest Products Journal 65(7-8):307: treated posts after 50 years in southern Mississippi.",
    ),
    line(
        Work::OregonPosts1986,
        "posts-oregon",
        Reading::Abstract,
        "Miller 1986, Oregon State University, Research Paper 48: service life of treated and untreated posts.",
    ),
    line(
        Work::FullerPerrine1991,
        "nets-long-island",
        Reading::Abstract,
        "Fuller-Perrine and Tobin 1991: bird netting on Long Island, its hours, cost and life.",
    ),
    line(
        Work::AwriReview259,
        "awri-259",
        Reading::Abstract,
        "Dixon 2022, AWRI Technical Review 259: what makes crop vary from season to season.",
    ),
    line(
        Work::Oger2022,
        "oger-crop",
        Reading::Abstract,
        "Oger and others, How to better estimate bunch number at vineyard level?, OENO One, article 7404.",
    ),
    line(
        Work::BritishColumbiaCrop,
        "bc-crop",
        Reading::Read,
        "British Columbia Wine Grape Council, best practices guide, Crop Estimation.",
    ),
    line(
        Work::WolfeBerryWeight,
        "berry-weight",
        Reading::SecondHand,
        "Wolfe reporting Oregon work, Good Fruit Grower: a berry at the end of lag phase weighs about half its final weight.",
    ),
    line(
        Work::LindonMalek2022,
        "lindon-malek-2022",
        Reading::Abstract,
        "Lindon and Malek 2022, Anytime-Valid Inference for Multinomial Count Data, arXiv 2011.03567.",
    ),
    line(
        Work::TurnerGrunwald2023,
        "turner-grunwald-2023",
        Reading::Abstract,
        "Turner and Grünwald 2023, Safe Sequential Testing in Stratified Count Data, arXiv 2302.11401.",
    ),
    line(
        Work::Ville1939,
        "ville-1939",
        Reading::Memory,
        "Ville 1939: a betting score that starts at 1 passes 20 with a chance of at most 1 in 20.",
    ),
    line(
        Work::BaskervilleEmin1969,
        "baskerville-emin-1969",
        Reading::Memory,
        "Baskerville and Emin 1969, Ecology 50:514: degree-days by a single sine.",
    ),
    line(
        Work::UcDegreeDays,
        "uc-degree-days",
        Reading::Read,
        "University of California Statewide IPM Program, degree-day terms.",
    ),
    line(
        Work::EpaWorkerProtection,
        "epa-worker-protection",
        Reading::Read,
        "US Environmental Protection Agency, worker protection pages: restrictions after an application.",
    ),
    line(
        Work::WashingtonCropGuide,
        "washington-guide",
        Reading::Read,
        "Washington State crop protection guide: entry outranks harvest; the most restrictive interval of a tank mix counts.",
    ),
    line(
        Work::CaliforniaRule6772,
        "california-6772",
        Reading::Read,
        "California food and agriculture rules, section 6772(a)(4): a day is 24 hours from the end of the application.",
    ),
    line(
        Work::RainTradeArticle,
        "rain-article",
        Reading::Read,
        "A UK viticulture trade article: clusters weigh 5 to 15 % more a day or two after rain; sample again several days later.",
    ),
    line(
        Work::NistUnits,
        "nist-sp811",
        Reading::Memory,
        "NIST Special Publication 811 (2008), appendix B.8: inch, foot, pound, ounce, gallon and degree Fahrenheit, exact by definition.",
    ),
];

// Look-up is by place, so a line out of order must not compile.
const _: () = {
    let mut at = 0;
    while at < SOURCES.len() {
        assert!(SOURCES[at].work as usize == at);
        at += 1;
    }
    assert!(SOURCES.len() == Work::NistUnits as usize + 1);
};
