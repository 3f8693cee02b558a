package draft

import (
	"errors"
	"maps"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// ReadAnswers reads a file of answers, as TOML writes it: a TOML file whose keys
// are the names of questions. One whose answer was left open has an empty text.
// The error is source.Faults with all that is wrong, of single answers too.
func ReadAnswers(f *source.File) (Answers, error) {
	index, err := source.NewIndex(f)
	if err != nil {
		return nil, err
	}
	var top map[string]any
	if err := toml.Unmarshal(f.Text, &top); err != nil {
		at, message := f.Start(), err.Error()
		var parse toml.ParseError
		if errors.As(err, &parse) {
			at, message = f.At(parse.Position.Line, parse.Position.Col), parse.Message
		}
		return nil, source.Faults{{At: at, Message: "not TOML: " + message}}
	}
	byName, names := map[string]*Question{}, []string(nil)
	for _, q := range Interview() {
		byName[q.Name], names = q, append(names, q.Name)
	}
	var faults source.Faults
	out := Answers{}
	for name, value := range top {
		place := index.Of(source.Key("", name))
		text, isText := value.(string)
		q := byName[name]
		switch {
		case q == nil:
			near, _ := quantity.Nearest(name, names)
			faults = append(faults, source.Fault{At: place.Key, Path: name, Message: name + ": is no question", Nearest: near,
				Expected: "take the line out where the question is asked no more"})
		case !isText:
			faults = append(faults, source.Fault{At: place.Best(), Path: name, Message: name + ": the answer is no text", Expected: `it is expected in quotes, as "12 ft"`})
		case strings.TrimSpace(text) != "":
			if err := q.Fault(text); err != nil {
				faults = append(faults, source.Fault{At: place.Best(), Path: name, Message: name + ": " + err.Error()})
			}
			out[name] = text
		default:
			out[name] = ""
		}
	}
	return out, faults.Err()
}

// TOML is a file of the answers, in the order of the questions.
func (a Answers) TOML() []byte {
	var b strings.Builder
	b.WriteString("# Answers for plumbrule draft --answers. An empty one was left open.\n")
	written := map[string]bool{}
	for _, q := range Interview() {
		if answer, given := a[q.Name]; given && !written[q.Name] {
			written[q.Name] = true
			b.WriteString(q.Name + " = " + job.Quote(answer) + "\n")
		}
	}
	return []byte(b.String())
}

// Said are the answers that say something of the job, without those left open.
func (a Answers) Said() Answers {
	out := Answers{}
	for name, answer := range a {
		if strings.TrimSpace(answer) != "" && !strings.HasPrefix(name, more) {
			out[name] = answer
		}
	}
	return out
}

// With adds the answers of another set that these do not give: habits, or what a
// file keeps. Those to questions that are ruled out here say nothing.
func (a Answers) With(habits Answers) Answers {
	out := maps.Clone(a)
	for name, answer := range habits.Said() {
		if _, given := a[name]; !given {
			out[name] = answer
		}
	}
	for _, q := range Questions() {
		if _, given := a[q.Name]; !given && !q.Asked(out.Said()) {
			delete(out, q.Name)
		}
	}
	return out
}

// Beginning are the answers that need no roof and no system: those that count
// where files give both.
func (a Answers) Beginning() Answers {
	out := Answers{}
	for name, answer := range a {
		if begins(find(name)) {
			out[name] = answer
		}
	}
	return out
}
