package codebook

import (
	"fmt"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Drawn says what the limit of a check is on a drawing of the roof. A rule file
// says it with the key draws.
type Drawn string

const (
	RidgeStrip Drawn = "strip along the ridge"     // depth to be kept clear on the plane of an array
	EdgeStrip  Drawn = "strip along the roof edge" // depth to be kept clear on the plane of an array
	Way        Drawn = "way up the plane"          // width of the way
)

// drawnFor lists all that a limit can be, with the kind of thing that it is
// drawn for.
var drawnFor = []struct {
	word Drawn
	each string
}{{RidgeStrip, "array"}, {EdgeStrip, "array"}, {Way, "plane"}}

// draws refuses a word that no drawing knows, a check of another kind of thing,
// and a measure that is no length: the drawing would leave them out.
func (l *loader) draws(c *Check, f *ruleFile) {
	if f.Draws == "" {
		return
	}
	var words []string
	for _, d := range drawnFor {
		words = append(words, string(d.word))
		if d.word != f.Draws {
			continue
		}
		if d.each != f.Each {
			l.faults.Add(l.at("draws"), "a %s is drawn for each %s, and the check looks at each %s", d.word, d.each, f.Each)
		}
		if !l.proven && (c.measure == nil || typeName(c.measure.ast.OutputType()) != "length") {
			l.faults.Add(l.at("draws"), "what is drawn is a length, and the check measures none")
		}
		return
	}
	fault := source.Fault{At: l.at("draws"), Message: fmt.Sprintf("nothing on a drawing is called %q", f.Draws)}
	fault.Nearest, _ = quantity.Nearest(string(f.Draws), words)
	l.faults = append(l.faults, fault)
}
