package visit

// applicationID marks the file as a visit store of ours ("tkhd" in ASCII).
const applicationID = 0x746b6864

// migrations bring a store from each version to the next; the version is how many were done. One
// that was released is never changed.
var migrations = []string{
	// 1: events in the order in which they came, and a line a visit derived from them so that the list
	// needs no folding.
	`CREATE TABLE events (
	   n     INTEGER PRIMARY KEY,
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
}
