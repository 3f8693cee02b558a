package wording

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
)

// MissingFrom says how much a job leaves out: "3 keys are left out; 12 outcomes
// wait for them"; "" for nothing.
func MissingFrom(r *review.Review, missing []*review.Missing) string {
	if len(missing) == 0 {
		return ""
	}
	return Plural(KeysLeftOut(missing), "key is", "keys are") + " left out; " + Plural(r.Waiting(), "outcome waits", "outcomes wait") + " for what is missing"
}

// FurtherKeys says what a list of what is missing does not have yet, since the
// checks that would ask for it wait for an edition: at its head, and under which
// editions the further keys were found.
func FurtherKeys(a *review.Ahead) (head, under string) {
	var codes, editions []string
	for _, e := range a.Editions {
		codes = append(codes, e.Code.Name)
		editions = append(editions, e.String())
	}
	as := strings.Join(editions, ", ")
	head = "The job states no edition of " + strings.Join(codes, ", ") + ", for which checks wait that may ask for more. "
	if len(a.Missing) == 0 {
		return head + "Under " + as + " they would ask for no other key.", ""
	}
	return head + "What they would ask for stands below too.", "Stand-ins for what [adoption] leaves out: " + as +
		", the newest that most checks of each code are written for. They are not the job's; under others some keys differ."
}

// KeysLeftOut counts the keys of a list of what is missing, each once.
func KeysLeftOut(missing []*review.Missing) int {
	keys := map[string]bool{}
	for _, m := range missing {
		for _, key := range m.Need.Keys {
			keys[key] = true
		}
	}
	return len(keys)
}

// WaitingFor says how many outcomes wait for a key: "12 outcomes, 3 for it
// alone".
func WaitingFor(m *review.Missing) string {
	s := Plural(m.Waiting, "outcome", "outcomes")
	switch {
	case m.Alone == m.Waiting:
		return s + ", for it alone"
	case m.Alone > 0:
		return fmt.Sprintf("%s, %d for it alone", s, m.Alone)
	}
	return s
}

// MeansAndFound says what the keys of a need mean, and where a person finds
// their values, each once.
func MeansAndFound(m *review.Missing) (means, found string) {
	var meanings, places []string
	for _, s := range m.Slots {
		meanings = append(meanings, s.Field.Doc)
		if !slices.Contains(places, s.Find()) {
			places = append(places, s.Find())
		}
	}
	return strings.Join(meanings, "; or "), strings.Join(places, "; or ")
}

// MeansAndWhere says what a key means, what holds without it and where a person
// finds its value.
func MeansAndWhere(s *job.Slot) string {
	text := s.Field.Meaning()
	if where := s.Find(); where != "" {
		text += "; found: " + where
	}
	return text
}

// Holds says what a key may hold, with the units it may be said in: "a length,
// such as 12 ft (units: ...)", "one of fuse, breaker".
func Holds(s *job.Slot) string {
	f, what := s.Field, Form(s)
	if units := quantity.Units(f.Dim); (f.Kind == job.KindQuantity || f.Kind == job.KindQuantities) && len(units) > 0 {
		what += " (units: " + strings.Join(units, ", ") + ")"
	}
	return what
}

// Form says what a key may hold without listing units.
func Form(s *job.Slot) string {
	f := s.Field
	switch {
	case f.Table != nil:
		return "a table of its own for each"
	case len(f.Choice) > 0 && f.Kind == job.KindTexts:
		return "a list of these: " + strings.Join(f.Choice, ", ")
	case len(f.Choice) > 0:
		return "one of " + strings.Join(f.Choice, ", ")
	case f.Kind == job.KindFlag:
		return "true or false"
	case f.Ref != "" || len(f.AnyOf) > 0:
		kinds := f.AnyOf
		if f.Ref != "" {
			kinds = []string{f.Ref}
		}
		what := "the name of " + withArticle(strings.ReplaceAll(strings.Join(kinds, " or "), "_", " "))
		if f.Kind == job.KindTexts {
			what = "a list of names, each " + what
		}
		if s.Names() == nil {
			what += ", of which the job has none yet: add a " + Header(kinds[0], true)
		}
		return what
	}
	what := withArticle(f.Type())
	if f.Kind == job.KindText {
		what = "text"
	}
	if example := s.Example(); example != `"..."` {
		what += ", such as " + example
	}
	return what
}

func withArticle(words string) string {
	if strings.ContainsRune("aeio", rune(words[0])) {
		return "an " + words
	}
	return "a " + words
}

// TableOf names the table that a key stands in as a job opens it, with the name
// of the thing: `[site]`, `[[array]] "south"`, `[array.attachments] of "south"`.
func TableOf(s *job.Slot) string {
	if len(s.Tables) == 0 {
		return Header(s.Key, s.Field.Kind == job.KindTables)
	}
	last := s.Tables[len(s.Tables)-1]
	text := Header(last.Key, last.Number > 0)
	if last.Number > 0 {
		text += " " + entryName(last)
	}
	for i := len(s.Tables) - 2; i >= 0; i-- {
		if s.Tables[i].Number > 0 {
			text += " of " + entryName(s.Tables[i])
		}
	}
	return text
}

// Header opens a table.
func Header(key string, many bool) string {
	if many {
		return "[[" + key + "]]"
	}
	return "[" + key + "]"
}

func entryName(o job.Opening) string {
	if o.Name != "" {
		return job.Quote(o.Name)
	}
	return fmt.Sprintf("number %d", o.Number)
}

// Belongs says where a key is to be written: the table and where it stands, or
// the file where it has to be opened.
func Belongs(s *job.Slot) string {
	at := s.At.Position()
	switch {
	case s.Open:
		return fmt.Sprintf("%s, %s", TableOf(s), at)
	case len(s.Tables) < 2:
		return fmt.Sprintf("a new %s in %s", TableOf(s), at.File)
	}
	return fmt.Sprintf("a new %s after %s", TableOf(s), at)
}
