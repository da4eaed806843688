//! Any bytes are a table of floors or are refused; whatever is read of a row is a visit that can
//! be saved, and what is told of a row is one line.

#![no_main]

use libfuzzer_sys::fuzz_target;
use slabseason::batch::{Columns, Fields, FloorResult, Habits, Row, Rows, Scan, delimiter_of, read_floor};
use slabseason::survey::{parse_visit, to_toml};

fuzz_target!(|bytes: &[u8]| {
    let delimiter = delimiter_of(bytes.split(|it| *it == b'\n').next().unwrap_or_default());
    let mut scan = Scan::new(delimiter);
    let mut taken_apart = Fields::new(delimiter);
    let mut rest = bytes;
    let mut columns: Option<Columns> = None;
    let mut line = 1;
    while let Some(end) = scan.end(rest) {
        let (record, behind) = rest.split_at(end);
        rest = behind;
        let fields = taken_apart.of(record);
        match &columns {
            None => match Columns::of(&fields, Habits::default()) {
                Ok(found) => columns = Some(found),
                Err(wrong) => {
                    assert!(!wrong.is_empty());
                    return;
                }
            },
            Some(columns) => {
                let rows = Rows {
                    rows: vec![Row { line, cells: Ok(fields) }],
                    is_torn: false,
                };
                match read_floor(columns, &rows).parsed {
                    Ok(parsed) => {
                        let text = to_toml(&parsed.visit);
                        let again = parse_visit(&text, "saved.toml").expect("a saved visit can be read");
                        assert_eq!(again.visit, parsed.visit);
                    }
                    Err(problems) => {
                        assert!(!problems.is_empty());
                        for it in problems {
                            let line = FloorResult { problem: Some(it.told), ..FloorResult::default() };
                            assert!(line.to_csv().ends_with('\n'));
                            assert_eq!(FloorResult::from_json(line.to_json().as_bytes()).unwrap(), line);
                        }
                    }
                }
            }
        }
        line += 1;
    }
});
