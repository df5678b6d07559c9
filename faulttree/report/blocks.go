package report

// A report is a list of blocks, so that every format says the same. Texts in blocks are raw; each
// format escapes them in its own way.
type block interface{}

type (
	heading struct {
		level int
		text  string
	}
	paragraph struct {
		text   string
		strong bool
	}
	quote struct{ text string }
	list  struct{ items []string }
	table struct {
		head []string
		rows [][]string
		// wide is the column that takes the room that is left on paper.
		wide int
	}
	facts     struct{ rows [][2]string }
	lines     struct{ labels []string } // to sign on
	figure    struct{ caption string }  // the level chart
	pageBreak struct{}
)
