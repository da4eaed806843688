//! Drying of young concrete against published times.

use crate::table::{number, rows};
use slabseason::season::{SeasonTable, saturation_pa};
use slabseason::slab::{DryingSlab, Mix, RoomSide, Underside, YoungConcrete, supply_through};
use std::collections::HashMap;

const NODES: usize = 26;
/// Pounds for 1,000 square feet and 24 hours in kg/(m2 s).
const POUND: f64 = 0.453_592_37 / 92.903_04 / 86_400.0;
/// Air between water and slab in the cells with vapor below, m. Source: fit of ours; what lay
/// between is not told. At 0.08 m the cell 0.6 never gets under 3 lb, at 0.12 m in 239 days.
const AIR_BELOW_M: f64 = 0.10;
/// Supply of a slab that stands in water, kg/(m2 s): far more than concrete takes.
const IN_WATER: f64 = 1.0e-3;
/// Days looked at before we say never: the tests ran for about a year.
const LOOKED_AT: f64 = 1_000.0;

/// Days, and what left the top until then, kg/m2.
struct Dried {
    days: Option<f64>,
    lost: f64,
}

/// Runs the row's test with a mix in the middle.
fn dried(row: &HashMap<String, String>) -> Dried {
    let ratio = number(row, "ratio");
    let both_sides = row["below"] == "both_sides";
    // 180 mm that dry from both faces are 90 mm over a middle that nothing crosses; the
    // equivalent depth, 0.2 of the whole, is 0.4 of the half. 73 F is 22.8 °C.
    let (thickness_m, slab_c, air, sealed_days) = if both_sides {
        (0.09, 18.0, 0.60, 28.0)
    } else {
        (4.0 * 0.0254, 22.8, 0.50, 0.0)
    };
    let limit = match row["until"].as_str() {
        "rh_90" => 0.90,
        "rh_85" => 0.85,
        _ => 3.0,
    };
    let full_pa = saturation_pa(slab_c);
    let under = Underside {
        supply: [match row["below"].as_str() {
            "vapor" => supply_through(AIR_BELOW_M) * full_pa,
            "water" => IN_WATER,
            _ => 0.0,
        }],
        humidity: [1.0],
    };
    let mix = [Mix::middling(ratio, 150.0)];
    let mut slab = DryingSlab::<NODES, 1>::placed(YoungConcrete { mix }, [thickness_m], slab_c);
    let open_film = SeasonTable::bundled().film_kg_m2_s_pa;
    let mut lost = 0.0;
    while slab.youth.age_days < LOOKED_AT {
        let film = if slab.youth.age_days < sealed_days {
            1.0e-18
        } else {
            open_film
        };
        let room = RoomSide {
            film: [film],
            through_air: [film],
            reference_pa: [air * full_pa],
            dried_reference_pa: [air * full_pa],
            setting_pa: [air * full_pa],
            room_saturation_pa: [1.0e9],
        };
        let passed = slab.days(slab_c, &room, &under, 1.0);
        lost += passed.top[0] * 86_400.0;
        let dry = if both_sides {
            slab.youth.age_days > sealed_days && slab.humidity_at(0, 0.4) <= limit
        } else {
            passed.top[0] <= limit * POUND
        };
        if dry {
            let days = Some(slab.youth.age_days - sealed_days);
            return Dried { days, lost };
        }
    }
    Dried { days: None, lost }
}

/// Source: Brewer 1965 as tabled in ACI 302.2R and Suprenant 1997; Hedenblad 1997; from
/// memory. Within a third of each figure: the published mixes differ by that much among
/// themselves in cement, stone and curing, and the figures are remembered. The laws of young
/// concrete are fitted to these very figures, so this is how well they can be met and no
/// proof. Where the published slab never got under, ours does not in a thousand days.
#[test]
fn drying_times_by_water_cement_ratio() {
    let mut misses = Vec::new();
    let (mut squares, mut count) = (0.0, 0.0);
    let mut line = String::new();
    println!("days, ours/published, by water-cement ratio from 0.4 on");
    for row in rows(include_str!("drying_times.csv")) {
        let head = format!("{:6} {:10}", row["until"], row["below"]);
        if !line.starts_with(&head) {
            println!("{line}");
            line = head;
        }
        let got = dried(&row).days;
        let told = got.map_or("never".to_string(), |it| format!("{it:.0}"));
        line += &format!(" {told}/{}", row["days"]);
        match (row["days"].as_str(), got) {
            ("never", None) => {}
            ("never", Some(_)) | (_, None) => misses.push(format!("{row:?}: {told}")),
            (_, Some(days)) => {
                let off = libm::log(days / number(&row, "days"));
                squares += off * off;
                count += 1.0;
                if off.abs() > libm::log(4.0 / 3.0) {
                    misses.push(format!("{row:?}: {told}"));
                }
            }
        }
    }
    let spread = libm::sqrt(squares / count);
    println!("{line}\nroot mean square of the log ratio {spread:.3}");
    assert!(misses.is_empty(), "{misses:#?}");
    // The fit reaches 0.14; a third more would be another law.
    assert!(spread < 0.19, "{spread}");
}

/// Source: Suprenant and Malisch, from memory: a 4 in slab of 0.40 loses 1.46 kg/m2 from
/// placing to 3 lb, and gives off 6.8 lb on the mean meanwhile. Within a sixth: what leaves
/// in the first hours depends on curing, of which nothing is remembered.
#[test]
fn water_lost_until_three_pounds() {
    let row = rows(include_str!("drying_times.csv")).remove(0);
    assert_eq!(
        (row["below"].as_str(), row["ratio"].as_str()),
        ("sealed", "0.4")
    );
    let got = dried(&row);
    let days = got.days.expect("a sealed slab gets under 3 lb");
    let mean_lb = got.lost / (days * 86_400.0) / POUND;
    println!(
        "loss {:.2} kg/m2 of 1.46, mean emission {mean_lb:.1} lb of 6.8",
        got.lost
    );
    assert!((got.lost / 1.46 - 1.0).abs() < 1.0 / 6.0, "{}", got.lost);
    assert!((mean_lb / 6.8 - 1.0).abs() < 1.0 / 6.0, "{mean_lb}");
}
