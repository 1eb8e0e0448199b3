//! What a station says, with its parts apart: which sentence, and the numbers
//! and names in it. A page can so say it in another language and in other
//! units; the words here are the English ones.
//!
//! Holds: for the sentences a technician meets most. Others come as text.
//! Left out: other languages, which are the doors' own.
//! Checked by: the tests below; `web/words/said.rs` has every sentence in
//! German, or it does not compile.

use std::fmt::Write as _;

/// A number or a name in a sentence.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// Film in µm, with so many decimals.
    Film(f64, usize),
    /// The same without its unit, beside one that has it.
    FilmBare(f64, usize),
    /// A temperature, °C.
    Heat(f64),
    /// A difference of temperatures, K.
    Rise(f64),
    /// A length, mm.
    Length(f64),
    /// A bare number, with so many decimals.
    Number(f64, usize),
    /// Seconds, with so many decimals.
    Seconds(f64, usize),
    /// A panel's name for people.
    Panel(String),
    /// A name of the user's own.
    Text(String),
    /// Several, one after the other.
    List(Vec<Part>),
    /// A sentence in the sentence.
    Said(Said),
}

impl Part {
    /// Film for a sentence: whole from 20 µm, one decimal below.
    #[must_use]
    pub fn film(um: f64) -> Self {
        Self::Film(um, usize::from(um.abs() < 20.0))
    }

    fn english(&self) -> String {
        match self {
            Self::Film(um, digits) => format!("{um:.digits$} µm"),
            Self::FilmBare(um, digits) => format!("{um:.digits$}"),
            Self::Heat(c) => format!("{c:.0} °C"),
            Self::Rise(k) => format!("{k:.0} K"),
            Self::Length(mm) => format!("{mm:.0} mm"),
            Self::Number(n, digits) => format!("{n:.digits$}"),
            Self::Seconds(s, digits) => format!("{s:.digits$} s"),
            Self::Panel(name) | Self::Text(name) => name.clone(),
            Self::List(parts) => {
                let parts: Vec<String> = parts.iter().map(Self::english).collect();
                parts.join(", ")
            }
            Self::Said(said) => said.english(),
        }
    }
}

/// A sentence with its parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Which sentence.
    pub sentence: Sentence,
    /// What stands in its places.
    pub parts: Vec<Part>,
}

impl Said {
    /// A sentence and what stands in its places, in their order.
    pub fn new(sentence: Sentence, parts: impl Into<Vec<Part>>) -> Self {
        Self {
            sentence,
            parts: parts.into(),
        }
    }

    /// In English.
    #[must_use]
    pub fn english(&self) -> String {
        let mut out = String::new();
        let mut rest = self.sentence.template();
        while let Some(at) = rest.find('{') {
            out.push_str(&rest[..at]);
            let end = rest[at..].find('}').map_or(rest.len(), |end| at + end);
            let place = rest[at + 1..end].parse::<usize>().ok();
            let part = place.and_then(|place| self.parts.get(place));
            let _ = write!(out, "{}", part.map_or(String::new(), Part::english));
            rest = rest.get(end + 1..).unwrap_or("");
        }
        out + rest
    }
}

impl From<Sentence> for Said {
    fn from(sentence: Sentence) -> Self {
        Self::new(sentence, Vec::new())
    }
}

macro_rules! sentences {
    ($($name:ident: $words:literal;)*) => {
        /// Every sentence; its words stand beside its name.
        #[allow(missing_docs, reason = "each is told by its words")]
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Sentence { $($name),* }

        impl Sentence {
            /// Every one.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];

            /// The English words, with places `{0}`, `{1}`.
            #[must_use]
            pub fn template(self) -> &'static str {
                match self { $(Self::$name => $words),* }
            }
        }
    };
}

sentences! {
    Full: "{0}.";
    // What may go.
    Matt: "Matt or satin clear: a machine polish would make it shine in patches.";
    Wrap: "Vinyl wrap: not paint, not polished by machine.";
    FilmOnPaint: "Paint protection film: a different process with little heat.";
    PaintedBefore: "Painted before, or filler: its layers are not known. Test it by itself, or leave it.";
    MarkedRepainted: "Marked as repainted at the walk-round: its layers are not known. Test it by itself, or leave it.";
    NotMeasured: "Not measured: no film reading on this panel. Take five readings first.";
    SingleStageUnread: "Not measured: single-stage paint without a reading is counted as worn, finishing only.";
    PlasticUnread: "Plastic without a reading: counted as thin, finishing only.";
    NothingMayGo: "Nothing may go: {0}.";
    OnlyMayGo: "Only {0} may go: {1}.";
    UpToMayGo: "Up to {0} may go: {1}.";
    NoRule: "No film rule is in force, so no budget can be stated.";
    RemovedEver: "at most {0} may ever be removed";
    ClearLeft: "{0} of clear must stay at its lower bound";
    ClearLeft1986: "{0} of clear must stay (bulletin of 1986)";
    QuarterOfClear: "at most a quarter of the clear may go";
    TotalBands: "under {0} in all finishing only, under {1} nothing";
    HalfOfTopCoat: "at least {0} of top coat must stay at its lower bound";
    SingleStage: "Single-stage paint: colour on the pad is normal and says nothing about depth. No clear coat is stated.";
    PlasticClear: "No gauge for metal reads plastic; the clear here is an assumed layer build.";
    ThinInAll: "The thinnest plausible place is {0} in all: thin. Tape edges, check twice.";
    TableDoesNotFit: "{0} in all lies {1} spreads from the assumed build of {2}: the layer table does not fit this panel, so do not rest on the clear stated. Edit [layers], or read the layers.";
    HiddenBeyond: "Hidden places read {0} and the open face {1}: about {2} seem to be gone, more than polishing explains. Either the face was sanded, or the hidden place is of another build, painted again or sealed inside. Read more hidden places before anything goes.";
    HiddenThicker: "Hidden places read thicker than the open face allows for: about {0} seem to have been polished off that no visit recorded.";
    // What the readings give away.
    Filler: "{0} is over {1}: filler probable";
    UnitSlip: "{0} may be a slipped unit: check the unit, read the spot again";
    Uneven: "the film spreads by {0} inside the panel, more than {1}: read more spots";
    Unrepeated: "{0} did not repeat, the other readings of its spot are about {1}; left out of the mean";
    MoreOdd: "{0} more odd readings were left out of the mean";
    OddFiller: "{0} among {1}: filler or repaint suspected; left out of the mean";
    OddRaised: "{0} among {1}: raised, read the spot again; left out of the mean";
    OddThin: "{0} among {1}: thin spot, sanded or polished before; left out of the mean";
    LowestThin: "the lowest spot, {0}, is under {1}: thin";
    LowestCritical: "the lowest spot, {0}, is under {1}: critically thin";
    UnderFactory: "{0} is {1} under this car's factory film: paint is missing, sanded or stripped, or it is a single coat; no repaint, which would add";
    ThinEdge: "thin edge: {0} at an edge or crease, {1} under the mean of the field";
    MedianRepaint: "the median, {0}, is over {1}: repaint suspected";
    RepaintLikely: "{0} against this car's factory film: repaint {1} % likely";
    OverOthers: "the median, {0}, is {1} over that of the other panels: repaint suspected";
    UnderOthers: "the median, {0}, is {1} under that of the other panels: worked down before, plastic, or another paint";
    StepBeyond: "the film steps by {0} {1}: the area beyond was probably painted again";
    StepBefore: "the film steps by {0} {1}: the area before was probably painted again";
    AboutAcross: "about {0} across";
    AboutUp: "about {0} up";
    BetweenSpots: "between the spots {0} and {1}";
    BetweenInOrder: "between the spots {0} and {1} in the order read";
    NoOpenFace: "no reading on the open face of this panel, only on edges, creases or hidden places; its film is not stated.";
    OneReading: "one reading on this panel; take {0} or more, spread over it.";
    FewReadings: "{0} readings on this panel; take {1} or more, spread over it.";
    OnePlaceAssumed: "{0} readings say neither spot nor position and agree as well as repeats of one place do; so they count as one place, and the spread of the film beside it is assumed. Write a spot or a position beside each reading.";
    Enough: "more readings will not change the decision.";
    NotDecisive: "the film of the open face does not decide here.";
    ReadSpread: "the decision is open: read five more places spread over it, and write down where.";
    ReadAt: "read next at u {0}, v {1}; it takes {2} off the risk of a wrong decision.";
    ReadTogether: "one reading turns nothing, {0} together take {1} off the risk of a wrong decision: {2}.";
    Place: "u {0} v {1}";
    NoMap: "no map, so no place can be named.";
    NoPositions: "No reading of the open face says where it was taken, so the panel is one level without a map. Write u_mm and v_mm beside each reading.";
    OnePlace: "All readings were taken at one place, so the panel is one level without a map. Read five places or more, spread over it.";
    FewPlaces: "Fewer than three places of the open face are known, so the panel is one level without a map. Read five places or more, spread over it.";
    OnlyLayers: "only single layers were read, so there is no film to map.";
    NoMapFor: "The map cannot be worked out: {0}.";
    // The plan.
    NoKit: "The job has no complete kit: give machines, pads and abrasives under [kit].";
    NothingFits: "No machine, pad and abrasive of the kit go together on a panel this small.";
    AllTooHot: "Every recipe of the kit may run over the stop temperature here (least rise {0}, room {1}).";
    GentlestTooMuch: "The gentlest recipe may take {0} in places; only {1} may go.";
    FinishingTooHot: "Only finishing is allowed here, and every finishing recipe of the kit may run over the stop temperature (least rise {0}, room {1}).";
    NoFinishingInKit: "Only {0} may go, so only finishing is allowed here, and the kit has no finishing recipe: add a fine or finishing abrasive on a finishing or polishing pad.";
    GentleTooHotCoolTooMuch: "What takes little enough ({0} in places) may run over the stop temperature, and what stays cool may take {1}; only {2} may go.";
    HeldByBoth: "the film that may go ({0}) and the stop temperature hold it there, both at the cautious end";
    HeldByFilm: "the film that may go ({0}) holds it there, at the upper end of the removal";
    HeldByHeat: "the stop temperature holds it there, at the upper end of the friction; work it in two sets with a pause to cool";
    HeldByKit: "the kit does no more in eight passes";
    HeldByFinishing: "only finishing is allowed here, and the kit's finishing does no more";
    NothingVisible: "Only finishing is allowed here, and the kit's finishing takes {0}: under 1 % of the scratches would go, which nobody sees. Left alone.";
    NothingVisibleSafe: "The strongest recipe that is safe here takes {0}: under 1 % of the scratches would go, which nobody sees. Left alone; {1}.";
    Gentlest: "Gentlest recipe that reaches {0} % with {1} to go.";
    Reaches: "Reaches {0} % of the {1} % wished: {2}.";
    KeepOff: "Keep off the place that read {0}: its layers are not known.";
    PriceForSome: "Hours and price are for {0} of {1} panels: those without a reading ({2}) count as left alone. Read them before a price is told.";
    MayGetWarm: "At the upper end of the assumed friction, {0} may pass the warning at {1} (up to {2}). Feel the panel or point a thermometer, keep the pad moving, let it cool between sets.";
    SoManyPanels: "{0} panels";
    NotInSixtyDays: "The work does not fit into 60 days within the vibration action value. Use a calmer machine or more people.";
    OverOneDay: "Trigger time is held to the vibration action value of each day, so machine work is spread over {0} day.";
    OverDays: "Trigger time is held to the vibration action value of each day, so machine work is spread over {0} days.";
    NoisyDays: "Noise reaches the lower action value of 80 dB(A) on some days. Have hearing protection at hand; vacuum and blow-drying come on top.";
    ReadFilmOf: "Read the film of {0}: it has no reading.";
    NothingToPolish: "Nothing is to be polished, so no reading would change the plan.";
    DoTestSpot: "Do a test spot with {0} on {1}: ten pairs would narrow its cut rate from times or divided by {2} to {3}, {4} % of what the film of this plan hangs on.";
    PointThermometer: "Point a thermometer at the panel right after a set of passes: it would narrow the friction from times or divided by {0} to {1}, and with it every peak.";
    // The day's dose.
    HandsOver: "Over the daily limit value of 5 m/s²: stop, or spread the work over days or people.";
    HandsAction: "The daily action value of 2.5 m/s² is reached: shorten trigger time or change machine.";
    UncertaintyAssumed: "No uncertainty of the declared vibration is given for {0}: {1} m/s² were added, assumed as the usual one of declarations. Write that of the data sheet, or 0 where the value has it in.";
    HandsUnder: "Under the action value is lower risk, not no risk. Local rules come first.";
    EarsOver: "Over 87 dB(A) for the day: hearing protection and less noise are due.";
    EarsUpper: "Upper action value of 85 dB(A) reached: wear hearing protection.";
    EarsLower: "Lower action value of 80 dB(A) reached: hearing protection should be at hand.";
    OverADay: "The times add up to more than 24 hours.";
    // The test spot.
    NotToldApartOne: "Not told apart from nothing: 1 more pair would show {0} with this gauge.";
    NotToldApart: "Not told apart from nothing: {0} more pairs would show {1} with this gauge.";
    NotToldApartFar: "Not told apart from nothing: far more pairs would show {0} with this gauge.";
    OutOfReach: "{0} % is out of reach of polishing on this panel.";
    CostsTooMuch: "{0} % would cost {1}, more than may go: do not promise it here.";
    Costs: "{0} % costs {1}, about {2} passes and {3} minutes a section.";
    BudgetReaches: "The {0} that may go reach {1} % after {2} passes, at the upper end of the cut rate.";
    OnePassTooMuch: "One pass of this setup may take more than the {0} that may go: use a gentler one.";
    Knee: "The next {0} % cost as much film as the first {1} %: stop near {2} unless one scratch matters.";
    HeatEnds: "No peak is stated from {1} % on: heat is worked out for {0} passes in one go. Past that work in sets, and let the panel cool between them.";
    PhotoLeftOut: "Density after is {0} and before {1}: passes do not add scratches, so this photo was left out, though its error of {2} % would explain it. Take it again in the same light, without dust or marks of the pad.";
    CoolBeforePass: "Let it cool before pass {0}: the surface may pass {1} there.";
    SaysNothing: "The readings say next to nothing: what stands here was believed before. Read at least five pairs and two photos.";
    LampPhoto: "A lamp photo before and after would show how deep these scratches are: now assumed.";
    MorePairs: "More pairs would teach most: the cut rate is hardly narrower than believed.";
    Thermometer: "A thermometer reading right after the passes would narrow the heat: friction is assumed.";
    SecondPhoto: "A second photo after more passes would show the deep tail: it decides what 95 % costs.";
    NoPairs: "No pair of readings came, so the film taken off is worked out from beliefs. Read the same spots before and after.";
    OnePair: "One pair only: its spread is the gauge's, and a slip would not show. Take at least five.";
    Paused: "The passes took {0}, but the way at this arm speed takes {1}. The other {2} are counted as pauses and turns, and every pass takes {3} times its way. If the arm was slower than stated, correct setup.arm_speed: a slower arm cuts more a pass.";
    FewStand: "Of {0} guesses drawn from what was believed, the readings leave {1} standing: the cut rate they ask for lies {2} deviations off the middle of the belief. The answer does not rest on those few, it is summed over a grid; but check that pad, abrasive, force and passes are those of this spot.";
    AgreeTooWell: "The pairs agree better than a gauge of {0} would let them. Check gauge.repeatability: if the gauge is better than stated, the trial tells more.";
    SpreadMore: "The pairs spread more than a gauge of {0} explains; {1} was used. Did the template move, or is the spot uneven?";
    WarmthDisagrees: "The surface rose by {0}, but a friction share of {1} to {2} was believed, which warms it by {3} to {4}. The prior all but excludes the thermometer: the {5} stated lies between the two. Check place and moment of the reading, speed, force and arm speed, or give a wider [prior].";
    PriorDisagrees: "The readings say {0}, but {1} to {2} was believed. The prior all but excludes the data and pulls the answer between the two: check passes, pad and abrasive class, force, or give a wider [prior].";
    HardlyLearnt: "The readings say next to nothing about the cut rate: its spread stays at {0} % of what was believed. More passes or more pairs would tell.";
    // The bench.
    SurfaceReaches: "The surface reaches {0}, over the {1} at which the trade stops; sources disagree between {2} and {3}.";
    PaintThrough: "The paint is through after about {0} at the deepest place: beyond that the figures mean nothing.";
    PlasticSoftens: "The plastic softens and burns from about {0} on, and is that hot after {1}: beyond that the figures mean nothing.";
    PaintBurns: "The paint burns from about {0} on, and is that hot after {1}: beyond that the figures mean nothing.";
    NoFinishThrough: "No gloss or finish is stated: the clear coat is through after about {0} at the deepest place.";
    NoFinishBurnt: "No gloss or finish is stated: the surface is burnt, over {0} after {1}.";
    GoesThrough: "The deepest place loses {0}; the {1} is {2} thick. This pass goes through it.";
    MayGoThrough: "At the upper end of the cut rate the deepest place loses {0}; the {1} is {2} thick. This pass may go through it.";
    OverAQuarter: "The deepest place loses {0}, more than a quarter of the {1} of {2}; many data sheets allow no more in a lifetime.";
    FoamCrushed: "At the hardest place the foam would be pressed by {0} times its thickness, which no pad can be: it bottoms out there. Pressure, removal and heat of that place hold for no real pad; use less force, less lean, or a thicker or stiffer pad.";
    PathThinned: "The {0} points were drawn as {1}; every point lies within {2} mm of where it was written, at its own moment.";
    FoamPressed: "The foam is pressed to {0} % of its thickness at the hardest place; foam hardens there and the true peak is higher.";
    LiftsOff: "Part of the pad lifts off or hangs over: {0} % of its face touches at the least.";
    BesidePanel: "For {0} the pad is beside the panel, with less than a twentieth of its face on it, and does nothing.";
    Holograms: "{0} % of the scratching lies one way and may show as holograms in point light. Cross the passes, or finish with an orbital machine.";
    NoHaze: "The gloss at 60° is {0} GU; haze is only defined above 70.";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_stand_in_their_places_and_a_lost_one_leaves_a_gap() {
        let rule = Said::new(Sentence::ClearLeft, [Part::Film(25.0, 1)]);
        let said = Said::new(Sentence::OnlyMayGo, [Part::Film(1.24, 1), Part::Said(rule)]);
        assert_eq!(
            said.english(),
            "Only 1.2 µm may go: 25.0 µm of clear must stay at its lower bound."
        );
        assert_eq!(Said::from(Sentence::OnlyMayGo).english(), "Only  may go: .");
    }

    #[test]
    fn no_two_sentences_are_the_same() {
        let mut words: Vec<&str> = Sentence::ALL.iter().map(|s| s.template()).collect();
        words.sort_unstable();
        let count = words.len();
        words.dedup();
        assert_eq!(words.len(), count);
    }
}
