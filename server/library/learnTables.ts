/**
 * Tables of what was learnt. Reviews are only ever added; `items` is what they come to, kept beside them so that opening replays nothing. Times are seconds
 * since 1970, durations seconds; `day` is the practice day in the crew's zone. f1…f4 are the item's features just before the answer (feature 0 is 1).
 */
export const LEARN_TABLES = `
CREATE TABLE IF NOT EXISTS settings (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS calls (
  id TEXT PRIMARY KEY, stage TEXT NOT NULL, position INTEGER, text TEXT NOT NULL, key TEXT NOT NULL, before TEXT NOT NULL, after TEXT NOT NULL,
  offered TEXT NOT NULL DEFAULT '[]'
);
CREATE INDEX IF NOT EXISTS calls_of_stage ON calls (stage);
CREATE TABLE IF NOT EXISTS items (
  id TEXT PRIMARY KEY, stage TEXT NOT NULL, stability REAL NOT NULL, difficulty REAL NOT NULL, graded REAL NOT NULL, met REAL NOT NULL,
  successes INTEGER NOT NULL, others INTEGER NOT NULL, changed INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX IF NOT EXISTS items_of_stage ON items (stage);
CREATE TABLE IF NOT EXISTS reviews (
  seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, stage TEXT NOT NULL, item TEXT NOT NULL, device TEXT NOT NULL, turn INTEGER NOT NULL, at REAL NOT NULL,
  how TEXT NOT NULL, grade TEXT, seconds REAL NOT NULL, said TEXT NOT NULL, day TEXT NOT NULL, set_back INTEGER NOT NULL DEFAULT 0, claimed INTEGER,
  f1 REAL, f2 REAL, f3 REAL, f4 REAL
);
CREATE INDEX IF NOT EXISTS reviews_of_item ON reviews (item);
CREATE INDEX IF NOT EXISTS reviews_claimed ON reviews (grade, claimed) WHERE claimed IS NOT NULL;
CREATE INDEX IF NOT EXISTS reviews_of_day ON reviews (stage, day, seconds);
CREATE TABLE IF NOT EXISTS rides (stage TEXT PRIMARY KEY, heard INTEGER NOT NULL, position INTEGER NOT NULL, full_today REAL NOT NULL, day TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS events (id TEXT PRIMARY KEY, content TEXT NOT NULL);
`
