//! The literature our constants and laws come from.
//!
//! A variant is one publication. Code names the variant, so a misspelt source
//! does not compile; `tidy` fails on a variant that nothing uses.
//! Mark: `Seen` means the text was read in a public copy; `Memory` means the
//! reference is from memory and its wording was not verified.

/// Whether the text itself was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// The text was read in a public copy.
    Seen,
    /// Cited from memory; not verified.
    Memory,
}

/// One publication.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Author or issuing body.
    pub author: &'static str,
    /// Title.
    pub title: &'static str,
    /// Year.
    pub year: u16,
    /// Number, volume or document code.
    pub number: &'static str,
    /// Where in it.
    pub place: &'static str,
    /// Whether the text was read.
    pub mark: Mark,
}

macro_rules! literature {
    ($($(#[$doc:meta])* $variant:ident => $author:literal, $title:literal, $year:literal, $number:literal, $place:literal, $mark:ident;)*) => {
        /// A publication a constant or a law of ours rests on.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Source { $($(#[$doc])* $variant,)* }

        impl Source {
            /// Every publication, in the order of the list.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// Author, title, year, number and place.
            #[must_use]
            pub fn entry(self) -> Entry {
                match self {
                    $(Self::$variant => Entry {
                        author: $author, title: $title, year: $year,
                        number: $number, place: $place, mark: Mark::$mark,
                    },)*
                }
            }
        }
    };
}

literature! {
    /// Hand-arm vibration limits and formula.
    Directive2002_44 => "European Parliament and Council", "Minimum health and safety requirements: vibration", 2002, "2002/44/EC", "Art. 3, Annex A", Seen;
    /// Exposure points and additive daily dose.
    HseReadyReckoner => "Health and Safety Executive", "Hand-arm vibration ready-reckoner", 2009, "web page", "steps 3 and 4", Seen;
    /// Noise limits and action values.
    Directive2003_10 => "European Parliament and Council", "Minimum health and safety requirements: noise", 2003, "2003/10/EC", "Art. 3", Seen;
    /// Noise dose with a 5 dB exchange rate.
    Osha1910_95 => "US Department of Labor", "Occupational noise exposure", 1983, "29 CFR 1910.95", "Appendix A, Table G-16a", Seen;
    /// Noise dose with a 3 dB exchange rate.
    NioshNoise => "NIOSH", "Criteria for a recommended standard: occupational noise exposure", 1998, "98-126", "section 1.1", Memory;
    /// Declared values under 2.5 m/s2 are raised to 2.5.
    BgBauVibration => "BG BAU", "Vibration help sheet", 2015, "v10126", "page 2", Seen;
    /// Most film that may ever be removed.
    GmBulletin91_282_10 => "General Motors", "Paint thickness and finesse repairs", 1991, "91-282-10", "corp. 111701R", Seen;
    /// Least clear coat that must remain.
    BuickBulletin86_10_24 => "Buick", "Clear coat film build", 1986, "86-10-24", "ref 86-166-10", Seen;
    /// Depth of an etch that may still be polished out.
    AcidRainBulletin1992 => "a car maker's service department", "Acid-rain damage to clear coat, revised", 1992, "service bulletin", "repair classes", Seen;
    /// Layer builds of factory paint.
    StreitbergerDoessel2008 => "Streitberger, Doessel", "Automotive Paints and Coatings, 2nd ed.", 2008, "Wiley-VCH", "layer builds", Memory;
    /// Layer builds of base coat and clear coat.
    Polymers2021 => "MDPI", "Polymers", 2021, "13(22) 3933", "section 1", Seen;
    /// Removal in proportion to pressure, speed and time.
    Preston1927 => "Preston", "The theory and design of plate glass polishing machines", 1927, "J. Soc. Glass Technol. 11", "p. 214", Memory;
    /// Eccentric load on a solid circle that cannot pull.
    RoarkEccentric => "Young, Budynas", "Roark's Formulas for Stress and Strain", 2002, "7th ed.", "eccentric prism table", Memory;
    /// Conduction in solids, closed forms.
    CarslawJaeger1959 => "Carslaw, Jaeger", "Conduction of Heat in Solids, 2nd ed.", 1959, "Oxford", "ch. II, III, X", Memory;
    /// Worked examples and convection correlations.
    Incropera => "Incropera, DeWitt", "Fundamentals of Heat and Mass Transfer", 2007, "6th ed.", "ch. 5, 9", Memory;
    /// Gloss scale of a glossmeter.
    Iso2813 => "ISO", "Paints and varnishes: gloss at 20, 60 and 85 degrees", 2014, "2813", "clause 3", Seen;
    /// Haze from two gloss readings.
    AstmD4039 => "ASTM", "Reflection haze of high-gloss surfaces", 2015, "D4039", "section 4", Seen;
    /// Specular reflectance of a slightly rough surface.
    BennettPorteus1961 => "Bennett, Porteus", "Relation between surface roughness and specular reflectance", 1961, "J. Opt. Soc. Am. 51", "p. 123", Memory;
    /// Vapour pressure over water and the dew point.
    WmoNo8 => "WMO", "Guide to Instruments and Methods of Observation", 2014, "No. 8", "Part I ch. 4 Annex 4.B", Seen;
    /// Surface at least 3 K over the dew point.
    Iso8502_4 => "ISO", "Probability of condensation prior to paint application", 2017, "8502-4", "scope", Memory;
    /// Many outliers at once without masking.
    Rosner1983 => "Rosner", "Percentage points for a generalized ESD many-outlier procedure", 1983, "Technometrics 25", "p. 165", Seen;
    /// One outlier.
    Grubbs1969 => "Grubbs", "Procedures for detecting outlying observations in samples", 1969, "Technometrics 11", "p. 1", Memory;
    /// Tolerance factors, sample sizes, t tests with worked examples.
    NistHandbook => "NIST/SEMATECH", "e-Handbook of Statistical Methods", 2012, "web", "1.3.5, 7.2", Seen;
    /// Two-sided tolerance factor.
    Howe1969 => "Howe", "Two-sided tolerance limits for normal populations", 1969, "J. Am. Stat. Assoc. 64", "p. 610", Memory;
    /// Spots of three readings.
    SspcPa2 => "SSPC", "Procedure for determining conformance to dry coating thickness requirements", 2015, "PA 2", "section 3", Seen;
    /// Visibility zones for spot repair.
    SpotRepairZones => "German spot-repair guidance", "Visibility zones A, B and C", 2010, "trade text", "zones", Seen;
    /// A panel must not be worked when the surface is hot.
    HeatLimits => "trade texts", "Surface temperature while polishing: 43, 60 and 71 degrees", 2018, "trade texts", "disagree", Seen;
    /// Factors between metric and US customary units.
    NistSp811 => "NIST", "Guide for the Use of the International System of Units", 2008, "SP 811", "Appendix B", Memory;
    /// Digits an uncertainty is printed with.
    Gum2008 => "JCGM", "Guide to the expression of uncertainty in measurement", 2008, "100", "7.2.6", Memory;
    /// Distribution of a t statistic when there is a difference.
    Lenth1989 => "Lenth", "Algorithm AS 243: cumulative distribution function of the non-central t distribution", 1989, "Appl. Stat. 38", "p. 185", Memory;
    /// Degrees of freedom for groups that spread differently.
    Satterthwaite1946 => "Satterthwaite", "An approximate distribution of estimates of variance components", 1946, "Biometrics Bull. 2", "p. 110", Memory;
    /// Points and weights of areas under a curve.
    AbramowitzStegun1964 => "Abramowitz, Stegun", "Handbook of Mathematical Functions", 1964, "AMS 55", "table 25.4", Memory;
    /// Group years until white fingers.
    Iso5349Part1 => "ISO", "Measurement and evaluation of human exposure to hand-transmitted vibration", 2001, "5349-1", "Annex C", Memory;
    /// Dew point from a wet and a dry thermometer.
    ArizonaDewPoint => "University of Arizona, AZMET", "Dew point formulas", 2000, "web", "dewpoint.html", Seen;
    /// Daily noise exposure level.
    Iso9612 => "ISO", "Determination of occupational noise exposure", 2009, "9612", "formula quoted in a regulation", Seen;
    /// Times to the European noise values.
    Scenihr2008 => "SCENIHR", "Potential health risks of exposure to noise from personal music players", 2008, "European Commission", "Table 3", Seen;
    /// Air contaminants: daily mean and mixtures.
    Osha1910_1000 => "US Department of Labor", "Air contaminants", 1993, "29 CFR 1910.1000", "(d)(1), (d)(2)", Seen;
    /// Parts per million into milligrams per cubic metre.
    CcohsConversion => "CCOHS", "Converting occupational exposure limits", 2010, "web", "convert.html", Seen;
    /// Dilution ventilation for an evaporating solvent.
    IndustrialVentilation => "University of Toledo", "Industrial ventilation, formulae of chapter X", 2000, "web", "FORM_CHAPX", Seen;
    /// Heat given off by a spinning disc.
    CobbSaunders1956 => "Cobb, Saunders", "Heat transfer from a rotating disk", 1956, "Proc. R. Soc. A 236", "p. 343", Memory;
    /// Saturation pressure of water vapour to 0.083 %.
    VapourPressureFit => "metpod", "Calculating the dew point", 2015, "web", "calc-dew-point", Seen;
    /// Two populations told apart by expectation and maximisation.
    DempsterLairdRubin1977 => "Dempster, Laird, Rubin", "Maximum likelihood from incomplete data via the EM algorithm", 1977, "J. R. Stat. Soc. B 39", "p. 1", Memory;
    /// Evidence of a linear model.
    Bishop2006 => "Bishop", "Pattern Recognition and Machine Learning", 2006, "Springer", "section 3.5", Memory;
    /// Clear coat that a repair lays, and the least it may have.
    RefinishTips2014 => "a refinish paint maker", "Technical tips: clear film build", 2014, "November 2014 and March 2015", "2 to 2.5 mil", Seen;
    /// A normal vector of which some parts are seen.
    Anderson2003 => "Anderson", "An Introduction to Multivariate Statistical Analysis", 2003, "Wiley", "section 2.5", Memory;
    /// Gaussian processes: prediction, likelihood, leaving out.
    RasmussenWilliams2006 => "Rasmussen, Williams", "Gaussian Processes for Machine Learning", 2006, "MIT Press", "ch. 2, 4, 5", Memory;
    /// Ordinary kriging: a field whose level is not known.
    Cressie1993 => "Cressie", "Statistics for Spatial Data, revised ed.", 1993, "Wiley", "ch. 2, 3", Memory;
    /// Quasi-Newton steps.
    NocedalWright2006 => "Nocedal, Wright", "Numerical Optimization, 2nd ed.", 2006, "Springer", "ch. 6", Memory;
    /// What a further parameter must earn.
    Schwarz1978 => "Schwarz", "Estimating the dimension of a model", 1978, "Ann. Stat. 6", "p. 461", Memory;
    /// A tree that finds the nearest places.
    Bentley1975 => "Bentley", "Multidimensional binary search trees used for associative searching", 1975, "Commun. ACM 18", "p. 509", Memory;
    /// Points that stand for a bell in several dimensions.
    JulierUhlmann1997 => "Julier, Uhlmann", "A new extension of the Kalman filter to nonlinear systems", 1997, "AeroSense", "eq. 12", Memory;
    /// Points corrected by the posterior.
    RueMartinoChopin2009 => "Rue, Martino, Chopin", "Approximate Bayesian inference for latent Gaussian models", 2009, "J. R. Stat. Soc. B 71", "section 6.5", Memory;
    /// Seeded draws.
    Steele2014 => "Steele, Lea, Flood", "Fast splittable pseudorandom number generators", 2014, "OOPSLA", "p. 453", Memory;
    /// What a sample is worth to a decision.
    RaiffaSchlaifer1961 => "Raiffa, Schlaifer", "Applied Statistical Decision Theory", 1961, "Harvard", "ch. 4", Memory;
}
