package visit

// applicationID marks the file as a visit store of ours ("tkhd" in ASCII).
const applicationID = 0x746b6864

// migrations bring a store from each version to the next; the version is how many were done. One
// that was released is never changed.
var migrations = []string{
	// 1: events in the order in which they came, and a line a visit derived from them so that the list
	// needs no folding.
	`CREATE TABLE events (
	   n     INTEGER PRIMARY KEY AUTOINCREMENT, -- a place in the order of arrival, never given twice
	   id    TEXT NOT NULL UNIQUE,
	   visit TEXT NOT NULL,
	   seq   INTEGER NOT NULL CHECK (seq > 0),
	   at    INTEGER NOT NULL, -- nanoseconds since 1970 UTC
	   kind  TEXT NOT NULL,
	   v     INTEGER NOT NULL,
	   body  TEXT NOT NULL,
	   UNIQUE (visit, seq));
	 CREATE TABLE visits (
	   number INTEGER PRIMARY KEY AUTOINCREMENT, -- never given twice: it stands on paper
	   id     TEXT NOT NULL UNIQUE,
	   begun  INTEGER NOT NULL,
	   last   INTEGER NOT NULL,
	   events INTEGER NOT NULL,
	   site TEXT NOT NULL, asset TEXT NOT NULL, complaint TEXT NOT NULL, outcome TEXT NOT NULL, cause TEXT NOT NULL);
	 CREATE INDEX visits_begun ON visits (begun);`,
	// 2: what was erased for good, so that an old bundle does not bring it back.
	`ALTER TABLE events ADD COLUMN erased INTEGER NOT NULL DEFAULT 0; -- 1: a person's name was taken out
	 CREATE TABLE purges (
	   n      INTEGER PRIMARY KEY,
	   at     INTEGER NOT NULL,
	   by     TEXT NOT NULL,
	   reason TEXT NOT NULL,
	   visit  TEXT,            -- NULL when a person was erased from all visits
	   events INTEGER NOT NULL);
	 CREATE UNIQUE INDEX purges_visit ON purges (visit);`,
	// 3: the history of an asset and of the causes without reading every event.
	`CREATE INDEX visits_asset ON visits (site, asset, begun);
	 CREATE INDEX events_outcome ON events (visit, seq) WHERE kind = 'outcome';`,
	// 4: how far each office has what is here.
	`CREATE TABLE offices (name TEXT PRIMARY KEY, sent INTEGER NOT NULL);`,
}
