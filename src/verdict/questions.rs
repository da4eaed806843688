//! The questions that move the answer: how each is read off a visit and set back to "not sure".

use crate::survey::{Setting, Visit, derived_drainage};

/// The six questions that a person asks first, each a line of the score.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoreQuestion {
    Era,
    Retarder,
    BelowGrade,
    Lot,
    Darkening,
    Drainage,
}

impl CoreQuestion {
    /// In the order of the score.
    pub const ALL: [CoreQuestion; 6] = [
        CoreQuestion::Era,
        CoreQuestion::Retarder,
        CoreQuestion::BelowGrade,
        CoreQuestion::Lot,
        CoreQuestion::Darkening,
        CoreQuestion::Drainage,
    ];

    /// The question of the list that it is.
    pub fn question(self) -> &'static OpenQuestion {
        QUESTIONS
            .iter()
            .find(|it| it.core == Some(self))
            .expect("each core question is in the list")
    }

    /// The answer given, in the visit file's words.
    pub fn answer(self, visit: &Visit) -> Option<String> {
        (self.question().answer)(visit)
    }
}

/// How an answer acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acts {
    /// It selects priors: taking it back means drawing anew.
    Selects,
    /// It is evidence: taking it back means weighing anew.
    Speaks,
}

/// A question of the model.
#[derive(Debug)]
pub struct OpenQuestion {
    /// The visit file's path of its main field.
    pub id: &'static str,
    pub core: Option<CoreQuestion>,
    pub acts: Acts,
    /// The answer in the visit file's words.
    pub answer: fn(&Visit) -> Option<String>,
    /// Sets it back to "not sure".
    pub clear: fn(&mut Visit),
}

fn yes_no(answer: Option<bool>) -> Option<String> {
    answer.map(|it| {
        if it {
            "yes".to_string()
        } else {
            "no".to_string()
        }
    })
}

fn word<T: Copy>(answer: Option<T>, of: fn(T) -> &'static str) -> Option<String> {
    answer.map(|it| of(it).to_string())
}

macro_rules! speaks {
    ($id:literal, $($part:ident).+) => {
        OpenQuestion {
            id: $id,
            core: None,
            acts: Acts::Speaks,
            answer: |it| yes_no(it.$($part).+),
            clear: |it| it.$($part).+ = None,
        }
    };
}

/// All questions that move the answer, core ones first.
pub static QUESTIONS: &[OpenQuestion] = &[
    OpenQuestion {
        id: "floor.year_built",
        core: Some(CoreQuestion::Era),
        acts: Acts::Selects,
        answer: |it| match (it.floor.placed_date, it.floor.year_built) {
            (Some(date), _) => Some(format!("placed {date}")),
            (None, Some(year)) => Some(year.to_string()),
            (None, None) => None,
        },
        clear: |it| {
            it.floor.placed_date = None;
            it.floor.year_built = None;
        },
    },
    OpenQuestion {
        id: "floor.retarder",
        core: Some(CoreQuestion::Retarder),
        acts: Acts::Selects,
        answer: |it| {
            let answer = it.floor.retarder?;
            Some(match it.floor.retarder_proof {
                Some(proof) => format!("{} ({})", answer.word(), proof.word()),
                None => answer.word().to_string(),
            })
        },
        clear: |it| {
            it.floor.retarder = None;
            it.floor.retarder_proof = None;
        },
    },
    OpenQuestion {
        id: "floor.below_grade",
        core: Some(CoreQuestion::BelowGrade),
        acts: Acts::Selects,
        answer: |it| {
            let below = it.floor.below_grade.or(match it.floor.setting? {
                Setting::Basement | Setting::WalkOut => Some(true),
                Setting::OnGrade | Setting::Garage | Setting::Suspended => Some(false),
            });
            yes_no(below)
        },
        clear: |it| {
            it.floor.below_grade = None;
            it.floor.setting = None;
        },
    },
    OpenQuestion {
        id: "lot.position",
        core: Some(CoreQuestion::Lot),
        acts: Acts::Selects,
        answer: |it| word(it.lot.position, |it| it.word()),
        clear: |it| it.lot.position = None,
    },
    OpenQuestion {
        id: "signs.spring_darkening",
        core: Some(CoreQuestion::Darkening),
        acts: Acts::Speaks,
        answer: |it| yes_no(it.signs.spring_darkening),
        clear: |it| it.signs.spring_darkening = None,
    },
    OpenQuestion {
        id: "lot.drainage",
        core: Some(CoreQuestion::Drainage),
        acts: Acts::Selects,
        answer: |it| word(derived_drainage(&it.lot), |it| it.word()),
        clear: |it| {
            it.lot.drainage = None;
            it.lot.downspouts = None;
            it.lot.slope = None;
        },
    },
    OpenQuestion {
        id: "lot.sub_drain",
        core: None,
        acts: Acts::Selects,
        answer: |it| word(it.lot.sub_drain, |it| it.word()),
        clear: |it| it.lot.sub_drain = None,
    },
    OpenQuestion {
        id: "lot.sump",
        core: None,
        acts: Acts::Speaks,
        answer: |it| word(it.lot.sump, |it| it.word()),
        clear: |it| it.lot.sump = None,
    },
    speaks!("lot.standing_water_5y", lot.standing_water_5y),
    OpenQuestion {
        id: "lot.lately",
        core: None,
        acts: Acts::Speaks,
        answer: |it| word(it.lot.lately, |it| it.word()),
        clear: |it| it.lot.lately = None,
    },
    OpenQuestion {
        id: "floor.gravel_base",
        core: None,
        acts: Acts::Selects,
        answer: |it| yes_no(it.floor.gravel_base),
        clear: |it| it.floor.gravel_base = None,
    },
    OpenQuestion {
        id: "air.dehumidifier",
        core: None,
        acts: Acts::Selects,
        answer: |it| word(it.air.dehumidifier, |it| it.word()),
        clear: |it| {
            it.air.dehumidifier = None;
            it.air.dehumidifier_since = None;
            it.air.dehumidifier_setting = None;
            it.air.dehumidifier_capacity = None;
            it.air.runs_after = None;
        },
    },
    OpenQuestion {
        id: "air.air_conditioned",
        core: None,
        acts: Acts::Selects,
        answer: |it| yes_no(it.air.air_conditioned),
        clear: |it| it.air.air_conditioned = None,
    },
    OpenQuestion {
        id: "air.heated",
        core: None,
        acts: Acts::Selects,
        answer: |it| yes_no(it.air.heated),
        clear: |it| it.air.heated = None,
    },
    OpenQuestion {
        id: "air.relative_humidity",
        core: None,
        acts: Acts::Speaks,
        answer: |it| {
            it.air
                .relative_humidity
                .map(|it| format!("{:.0} %", it.percent()))
        },
        clear: |it| it.air.relative_humidity = None,
    },
    OpenQuestion {
        id: "air.temp_c",
        core: None,
        acts: Acts::Speaks,
        answer: |it| {
            it.air
                .temp
                .map(|it| format!("{:.0} °F ({:.1} °C)", it.fahrenheit(), it.get()))
        },
        clear: |it| it.air.temp = None,
    },
    OpenQuestion {
        id: "air.slab_temp_c",
        core: None,
        acts: Acts::Speaks,
        answer: |it| {
            it.air
                .slab_temp
                .map(|it| format!("{:.0} °F ({:.1} °C)", it.fahrenheit(), it.get()))
        },
        clear: |it| it.air.slab_temp = None,
    },
    OpenQuestion {
        id: "signs.water_now",
        core: None,
        acts: Acts::Speaks,
        answer: |it| word(it.signs.water_now, |it| it.word()),
        clear: |it| it.signs.water_now = None,
    },
    speaks!("signs.sweats_in_summer", signs.sweats_in_summer),
    speaks!("signs.white_deposit", signs.white_deposit),
    speaks!("signs.joint_stain", signs.joint_stain),
    speaks!("signs.damp_crack", signs.damp_crack),
    speaks!("signs.damp_lower_wall", signs.damp_lower_wall),
    speaks!("signs.rusty_posts", signs.rusty_posts),
    speaks!("signs.musty_smell", signs.musty_smell),
];

/// The questions that were answered.
pub fn given_answers(visit: &Visit) -> Vec<(&'static OpenQuestion, String)> {
    QUESTIONS
        .iter()
        .filter_map(|it| (it.answer)(visit).map(|answer| (it, answer)))
        .collect()
}

/// The questions that are open: not asked, or answered "not sure".
pub fn open_questions(visit: &Visit) -> Vec<&'static OpenQuestion> {
    QUESTIONS
        .iter()
        .filter(|it| (it.answer)(visit).is_none())
        .collect()
}
