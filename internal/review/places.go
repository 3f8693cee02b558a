package review

import (
	"slices"
	"sync"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// places remembers where what the outcomes of one review rest on stands: of
// thousands of like things most rest on the same values.
type places struct {
	gathered terms.Gathered
	likes    job.Likes // where values were taken by like

	mu   sync.Mutex
	also map[toAlso][]source.Span
}

// toAlso is what the further places of an outcome follow from.
type toAlso struct {
	on   terms.List
	at   source.Span
	need source.Span // of the first key that is left out
}

// Also lists the further places of the job that the outcome rests on, in the
// order of reading. Where an entry took a value by like, that is such a place.
// Outcomes share the list, which is not to be changed.
func (o *Outcome) Also() []source.Span {
	if o.Result == NotApplicable {
		return nil
	}
	key := toAlso{on: o.places.gathered.List(o.decided()...), at: o.At}
	if len(o.Needs) > 0 {
		key.need = o.Needs[0].At
	}
	if o.place != nil || len(o.Needs) > 1 {
		return o.furtherOn(key.on)
	}
	o.places.mu.Lock()
	defer o.places.mu.Unlock()
	out, known := o.places.also[key]
	if !known {
		out = o.furtherOn(key.on)
		o.places.also[key] = out
	}
	return out
}

func (o *Outcome) furtherOn(on terms.List) []source.Span {
	var out []source.Span
	seen := map[source.Span]bool{o.At: true}
	add := func(at source.Span) {
		if at.Known() && !seen[at] {
			seen[at] = true
			out = append(out, at)
		}
	}
	for _, n := range o.Needs {
		add(n.At)
	}
	for _, r := range o.places.gathered.Reads(on) {
		if !r.At.Known() {
			continue
		}
		if o.place != nil {
			r.At = o.place(r.Key)
		}
		add(r.At)
		add(o.places.likes.At(r.Key))
	}
	return slices.Clip(out)
}
