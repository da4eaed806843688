//! Which answers speak for a wet floor and which against it.

use crate::survey::{
    Drainage, Leak, LotPosition, Retarder, SubDrain, Sump, Visit, WaterNow, derived_drainage,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An answer that speaks for or against a wet floor, as it is told in a word or two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Clue {
    /// Dark patches in the wet season.
    DarkPatches,
    /// Water stood on the floor within five years.
    StoodInWater,
    /// Damp to the touch at the visit.
    DampNow,
    /// A leak is known.
    Leaks,
    /// A lot lower than those around it.
    LowLot,
    /// Gutters and grading send water to the walls.
    WaterAtWalls,
    /// No vapor retarder under the slab.
    NoRetarder,
    /// Water in the sump after rain or most days.
    WaterInSump,
    /// The drain at the footing does not work.
    FailedDrain,
    /// A damp crack.
    DampCrack,
    /// The foot of the walls is damp.
    DampWall,
    /// White powder.
    WhitePowder,
    /// Stains at the joints.
    JointStain,
    /// No dark patches in the springs that were watched.
    NoDarkPatches,
    /// A lot higher than those around it.
    HighLot,
    /// Gutters and grading carry water away.
    SoundDrainage,
    /// A vapor retarder was seen or proved.
    RetarderSeen,
    /// A drain at the footing works.
    WorkingDrain,
    /// No water stood on the floor within five years.
    NeverStood,
}

impl Clue {
    /// Key of its words, under `clue.`.
    pub fn word(self) -> &'static str {
        match self {
            Clue::DarkPatches => "dark_patches",
            Clue::StoodInWater => "stood_in_water",
            Clue::DampNow => "damp_now",
            Clue::Leaks => "leaks",
            Clue::LowLot => "low_lot",
            Clue::WaterAtWalls => "water_at_walls",
            Clue::NoRetarder => "no_retarder",
            Clue::WaterInSump => "water_in_sump",
            Clue::FailedDrain => "failed_drain",
            Clue::DampCrack => "damp_crack",
            Clue::DampWall => "damp_wall",
            Clue::WhitePowder => "white_powder",
            Clue::JointStain => "joint_stain",
            Clue::NoDarkPatches => "no_dark_patches",
            Clue::HighLot => "high_lot",
            Clue::SoundDrainage => "sound_drainage",
            Clue::RetarderSeen => "retarder_seen",
            Clue::WorkingDrain => "working_drain",
            Clue::NeverStood => "never_stood",
        }
    }
}

fn kept(all: &[(bool, Clue)]) -> Vec<Clue> {
    all.iter().filter(|it| it.0).map(|it| it.1).collect()
}

/// Answers that speak for a wet floor, the telling ones first.
pub(super) fn speaking_for(visit: &Visit) -> Vec<Clue> {
    let (lot, signs) = (&visit.lot, &visit.signs);
    let leaks = !matches!(lot.leak, None | Some(Leak::NoLeak));
    let sump_fills = matches!(lot.sump, Some(Sump::AfterRain | Sump::MostDays));
    kept(&[
        (signs.spring_darkening == Some(true), Clue::DarkPatches),
        (lot.standing_water_5y == Some(true), Clue::StoodInWater),
        (signs.water_now == Some(WaterNow::Damp), Clue::DampNow),
        (leaks, Clue::Leaks),
        (lot.position == Some(LotPosition::Low), Clue::LowLot),
        (
            derived_drainage(lot) == Some(Drainage::Failing),
            Clue::WaterAtWalls,
        ),
        (
            visit.floor.retarder == Some(Retarder::Absent),
            Clue::NoRetarder,
        ),
        (sump_fills, Clue::WaterInSump),
        (lot.sub_drain == Some(SubDrain::Failed), Clue::FailedDrain),
        (signs.damp_crack == Some(true), Clue::DampCrack),
        (signs.damp_lower_wall == Some(true), Clue::DampWall),
        (signs.white_deposit == Some(true), Clue::WhitePowder),
        (signs.joint_stain == Some(true), Clue::JointStain),
    ])
}

/// Answers that speak against a wet floor, the telling ones first. Not seeing dark patches
/// speaks only for the springs that were watched.
pub(super) fn against(visit: &Visit) -> Vec<Clue> {
    let (lot, signs) = (&visit.lot, &visit.signs);
    let watched = signs.springs_watched.is_some_and(|it| it > 0);
    kept(&[
        (
            signs.spring_darkening == Some(false) && watched,
            Clue::NoDarkPatches,
        ),
        (
            visit.floor.retarder == Some(Retarder::Seen),
            Clue::RetarderSeen,
        ),
        (lot.position == Some(LotPosition::High), Clue::HighLot),
        (
            derived_drainage(lot) == Some(Drainage::Sound),
            Clue::SoundDrainage,
        ),
        (lot.sub_drain == Some(SubDrain::Works), Clue::WorkingDrain),
        (lot.standing_water_5y == Some(false), Clue::NeverStood),
    ])
}
