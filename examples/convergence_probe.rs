use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::house::*;
use slabseason::odds::sobol::normal_scores;
use slabseason::odds::unseen::*;
use slabseason::slab::*;
use slabseason::survey::*;
use std::time::Instant;
fn main() {
    let place = find_place(&PlaceQuery::parse("05401").unwrap()).unwrap();
    let text = "visit_version = 1\nvisit_date = 2026-09-08\npostal = \"05401\"\n[floor]\nsetting = \"basement\"\n";
    let visit = parse_visit(text, "x").unwrap().visit;
    let set = PriorSet::for_visit(&visit);
    let py = PlaceYear::new(&place, true);
    let c = FloorConstants {
        density_kg_m3: 2300.0,
        meter_depth_m: 0.02,
        probe_depth: 0.4,
    };
    const N: u32 = 256;
    let all: Vec<Unseen> = (0..N).map(|i| set.unseen(&normal_scores(i))).collect();
    fn go<const C: usize>(
        place: &slabseason::climate::Place,
        steps: usize,
        all: &[Unseen],
        c: FloorConstants,
    ) -> Vec<f64> {
        let py = PlaceYear::with_steps(place, true, steps);
        let mut out = vec![];
        for u in all {
            let lv = levels(&py, u, 9);
            let fs = floor_set::<C, 1>(&py, &[u], c);
            let l12: Vec<[f64; 1]> = lv.capped_m[..12].iter().map(|x| [*x]).collect();
            let mut run = fs.settled(&l12, 9, Machines::On, 0);
            for _ in 0..3 {
                run.months(&fs, &l12, 9, Machines::On, &[], |_, _| {}, |_, _| {});
            }
            run.months(
                &fs,
                &l12,
                9,
                Machines::On,
                &[],
                |_, o| out.push(110.0 * o.meter_fraction[0]),
                |_, _| {},
            );
        }
        out
    }
    for st in [9, 18, 36, 90, 180] {
        let t = Instant::now();
        let r = go::<14>(&place, st, &all[..4], c);
        println!(
            "{st} {:?} {:?}",
            t.elapsed(),
            r.iter()
                .map(|x| (x * 100.0).round() / 100.0)
                .collect::<Vec<_>>()
        );
    }
    let t = Instant::now();
    let fine = go::<50>(&place, 90, &all, c);
    println!("fine {:?}", t.elapsed());
    for (name, r) in [
        ("12c 9s", go::<14>(&place, 9, &all, c)),
        ("16c 9s", go::<18>(&place, 9, &all, c)),
        ("24c 9", go::<26>(&place, 9, &all, c)),
        ("12c 18s", go::<14>(&place, 18, &all, c)),
        ("12c 90s", go::<14>(&place, 90, &all, c)),
        ("48c 9", go::<50>(&place, 9, &all, c)),
        ("48c 30", go::<50>(&place, 30, &all, c)),
    ] {
        let e: Vec<f64> = r.iter().zip(&fine).map(|(a, b)| a - b).collect();
        let rms = (e.iter().map(|x| x * x).sum::<f64>() / e.len() as f64).sqrt();
        let bias = e.iter().sum::<f64>() / e.len() as f64;
        let mx = e
            .iter()
            .fold(0.0f64, |a, b| if b.abs() > a.abs() { *b } else { a });
        println!("{name}: rms {rms:.4} bias {bias:.4} max {mx:.3}");
    }
}
