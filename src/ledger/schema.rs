//! The tables of the file, one step for each version.

/// Marks a file as a ledger: "slab" as four letters.
pub const APPLICATION: i64 = 0x736c_6162;

/// Statements that lead from each version to the next. They are only ever added to.
pub const STEPS: &[&str] = &[FIRST];

const FIRST: &str = "
CREATE TABLE floor (
  id INTEGER PRIMARY KEY,
  label TEXT,
  area TEXT NOT NULL,
  region TEXT NOT NULL
);
CREATE INDEX floor_by_label ON floor (label);

-- A visit file as the program writes it, or one line of somebody's results.
CREATE TABLE visit (
  id INTEGER PRIMARY KEY,
  floor INTEGER NOT NULL REFERENCES floor,
  origin TEXT NOT NULL CHECK (origin IN ('given', 'restated', 'results')),
  day TEXT NOT NULL,
  digest TEXT NOT NULL UNIQUE,
  content TEXT NOT NULL,
  added_on TEXT NOT NULL
);
CREATE INDEX visit_by_floor ON visit (floor);

-- Each seal covers the content and the seal before it.
CREATE TABLE sealed (
  id INTEGER PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('statement', 'trial')),
  floor INTEGER REFERENCES floor,
  visit INTEGER REFERENCES visit,
  sealed_on TEXT NOT NULL,
  content TEXT NOT NULL,
  previous TEXT NOT NULL,
  seal TEXT NOT NULL UNIQUE
);
CREATE INDEX sealed_by_floor ON sealed (floor);

-- The whole result as it was printed that day.
CREATE TABLE result (
  sealed INTEGER PRIMARY KEY REFERENCES sealed,
  content TEXT NOT NULL
);

-- The month in which one more reading tells most.
CREATE TABLE again (
  sealed INTEGER PRIMARY KEY REFERENCES sealed,
  floor INTEGER NOT NULL REFERENCES floor,
  month TEXT NOT NULL,
  why TEXT NOT NULL,
  settles REAL NOT NULL,
  content TEXT NOT NULL
);
CREATE INDEX again_by_floor ON again (floor, sealed);

CREATE TABLE reading (
  id INTEGER PRIMARY KEY,
  floor INTEGER NOT NULL REFERENCES floor,
  day TEXT NOT NULL,
  percent REAL,
  meter TEXT,
  content TEXT NOT NULL,
  nth INTEGER NOT NULL,
  added_on TEXT NOT NULL,
  UNIQUE (floor, content, nth)
);

CREATE TABLE withdrawal (
  reading INTEGER PRIMARY KEY REFERENCES reading,
  why TEXT NOT NULL,
  withdrawn_on TEXT NOT NULL
);

CREATE TABLE outcome (
  id INTEGER PRIMARY KEY,
  floor INTEGER NOT NULL REFERENCES floor,
  day TEXT NOT NULL,
  outcome TEXT NOT NULL,
  coated_with TEXT,
  added_on TEXT NOT NULL
);
CREATE INDEX outcome_by_floor ON outcome (floor);

CREATE TRIGGER sealed_stays BEFORE UPDATE ON sealed BEGIN SELECT RAISE(ABORT, 'what is sealed is not changed'); END;
CREATE TRIGGER sealed_is_kept BEFORE DELETE ON sealed BEGIN SELECT RAISE(ABORT, 'what is sealed is not taken out'); END;
CREATE TRIGGER visit_stays BEFORE UPDATE ON visit BEGIN SELECT RAISE(ABORT, 'a visit is not changed'); END;
CREATE TRIGGER visit_is_kept BEFORE DELETE ON visit BEGIN SELECT RAISE(ABORT, 'a visit is not taken out'); END;
CREATE TRIGGER reading_stays BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'a reading is not changed'); END;
CREATE TRIGGER reading_is_kept BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'a reading is not taken out'); END;
CREATE TRIGGER outcome_stays BEFORE UPDATE ON outcome BEGIN SELECT RAISE(ABORT, 'an outcome is not changed'); END;
CREATE TRIGGER outcome_is_kept BEFORE DELETE ON outcome BEGIN SELECT RAISE(ABORT, 'an outcome is not taken out'); END;
";
