// Package bound says how much is read and computed, so that no file of a
// stranger can take a machine's memory or hold up a review. Each bound has its
// reason; the guide's page "bounds" is made of this list.
//
// They are far beyond what a submittal needs: a job of 100,000 modules with
// their feet is inside all of them.
package bound

import (
	"fmt"
	"strings"
	"time"
)

// What is read.
const (
	FileBytes      = 8 << 20          // of one file
	AllBytes       = 64 << 20         // of a job with all that it includes
	Depth          = 32               // tables and lists inside one another
	FileKeys       = 200_000          // keys and values of one file
	Includes       = 32               // files that a job includes
	IncludeDepth   = 8                // includes inside one another
	ListEntries    = 10_000           // of one list
	TextLength     = 4_000            // characters of a text
	NameLength     = 200              // characters of the name of a thing
	EquipmentFiles = 5_000            // in a folder of equipment
	CSVRows        = 100_000          // lines of a CSV file
	CSVFields      = 64               // fields of a line of a CSV file
	DrawingLines   = 2_000            // lines of a layer of a drawing that are joined into outlines
	PaperBytes     = 64 << 20         // of the file of a document
	AllPaperBytes  = 256 << 20        // of all of them
	PaperStream    = 16 << 20         // of what a page draws, unpacked
	PaperPages     = 300              // of a PDF that are looked through
	PaperText      = 4 << 20          // bytes of text of a PDF that are looked through
	PaperTime      = 20 * time.Second // for reading the text of a PDF
)

// What a job describes.
const (
	Made           = 500_000 // values that patterns stand for
	Modules        = 150_000 // of a job
	Feet           = 600_000 // of a job
	FeetOnLine     = 10_000  // on one line
	Corners        = 120     // of an outline
	AllCorners     = 2_000   // of all outlines of a job
	StringsOnInput = 250     // on one input of an inverter
)

// What is computed.
const (
	RuleFiles      = 5_000           // of one folder of rules
	Expression     = 8_000           // characters of an expression
	EvaluationCost = 2_000_000       // steps of one evaluation of an expression
	EvaluationTime = 5 * time.Second // of one evaluation, whatever its steps
	CheckCost      = 20_000_000      // steps of all evaluations of a check of a folder of rules
	ReviewCost     = 200_000_000     // steps of all checks and terms of folders of rules
	RemedySteps    = 64              // values that the search of one remedy tries
	AllRemedySteps = 2_000           // values that all searches of remedies of a job try
	Time           = 10 * time.Minute
	Memory         = 24 << 30 // bytes
)

// Bound is one bound in words.
type Bound struct {
	Of   string // what is bounded
	Most string
	Why  string
}

// All lists every bound, in the order of a review.
func All() []Bound {
	return []Bound{
		{"a file", size(FileBytes), "thousands of circuits written out one by one come to a tenth of it"},
		{"a job with all that it includes", size(AllBytes), "it is held in memory, with the place of each value"},
		{"tables and lists inside one another", number(Depth), "a job needs five"},
		{"keys and values of a file", number(FileKeys), "each keeps its place in the file; ten thousand circuits written out have half as many"},
		{"files that a job includes", number(Includes), "each is opened and decoded for every review"},
		{"includes inside one another", number(IncludeDepth), "a reader has to find a value again"},
		{"entries of a list", number(ListEntries), "more things of a kind are not on one permit"},
		{"characters of a text", number(TextLength), "a page of reasons; drawings break texts into lines"},
		{"characters of the name of a thing", number(NameLength), "names stand in drawings, tables and each finding"},
		{"files of a folder of equipment", number(EquipmentFiles), "a folder that is none, such as a whole disk, is not looked through"},
		{"lines of a CSV file", number(CSVRows), "feet and surveyed points one by one; several arrays have several files"},
		{"fields of a line of a CSV file", number(CSVFields), "a schedule has some ten columns"},
		{"lines of a layer of a drawing that are joined into outlines", number(DrawingLines), "each is held against the others"},
		{"the file of a document", size(PaperBytes), "a set of drawings as PDF; of one that is larger the sheets are given one by one"},
		{"the files of all documents of a job", size(AllPaperBytes), "they are held in memory while their text is looked through"},
		{"what a page of a PDF draws, unpacked", size(PaperStream), "a small file can stand for a very large one"},
		{"pages of a PDF that are looked through", number(PaperPages), "a submittal with its cut sheets has a hundred"},
		{"text of a PDF that is looked through", size(PaperText), "a hundred pages of text have a tenth"},
		{"time for reading the text of a PDF", PaperTime.String(), "a hundred pages take half a second; what could not be read is a finding"},
		{"values that patterns stand for", number(Made), "a few lines with like and count could stand for more than a machine holds"},
		{"modules of a job", number(Modules), "counted from rows and columns before any is placed: each takes memory, as does each foot below it"},
		{"feet of a job", number(Feet), "counted from spans and lines before any is placed; about four under each of 100,000 modules"},
		{"feet on one line", number(FeetOnLine), "a slip in the unit of a spacing makes more"},
		{"corners of an outline", number(Corners), "ways over the roof and loads are worked out between all edges; a roof traced from a drawing has dozens"},
		{"corners of all outlines of a job", number(AllCorners), "planes are held against one another"},
		{"strings on one input of an inverter", number(StringsOnInput), "each is held against those beside it; the largest combiners take fewer"},
		{"files of a folder of rules", number(RuleFiles), "each is compiled for every review"},
		{"characters of an expression of a rule", number(Expression), "the longest of the built-in rules has a tenth"},
		{"steps of one evaluation of a rule", number(EvaluationCost), "a rule that looks at every foot for every other foot is refused, and not waited for"},
		{"time of one evaluation of a rule", EvaluationTime.String(), "steps over what is not stated take longer than others"},
		{"steps of a check of a folder of rules, over all its subjects", number(CheckCost), "the same, where each evaluation is short; a rule that looks at one thing takes some ten steps for each"},
		{"steps of all folders of rules in a review", number(ReviewCost), "the same, for many checks; it takes about a minute"},
		{"values that the search of a remedy tries", number(RemedySteps), "each is a review of what it changes; a remedy farther away is another design"},
		{"values that all searches of remedies of a job try", number(AllRemedySteps), "the same, for a job with hundreds of comments; remedies of one comment at a time go on from there"},
		{"time of a review with its files", Time.String(), "a job of 20,000 modules takes three minutes; `--time-limit TIME` sets another"},
		{"memory", size(Memory), "`--memory-limit GIB` sets another; what goes beyond it ends with exit code 3 and a message, and never as if the input were wrong"},
	}
}

// size is a number of bytes in words.
func size(bytes int) string {
	if bytes >= 1<<30 {
		return fmt.Sprintf("%d GiB", bytes>>30)
	}
	return fmt.Sprintf("%d MiB", bytes>>20)
}

// number is a count with its thousands parted.
func number(n int) string {
	digits := fmt.Sprint(n)
	var parts []string
	for len(digits) > 3 {
		parts = append([]string{digits[len(digits)-3:]}, parts...)
		digits = digits[:len(digits)-3]
	}
	return strings.Join(append([]string{digits}, parts...), ",")
}
