package editor

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// definition finds where the thing gets its name that a place names, the file
// that an include names, or the sheet of the check that a deviation excuses.
func definition(w *Workspace, d *Document, p AtPosition) ([]Location, error) {
	o := newOutline(d.File)
	c := o.cursorAt(d.Offset(p.Position))
	out := []Location{}
	if n := c.node(); n != nil && c.value != nil && c.value.kind == quoted && (n.path() == includeKey || n.field != nil && n.key == "file") {
		if path := besideOf(d.Path, c.value.text); d.reads(path) {
			out = append(out, Location{URI: w.URI(path)})
		}
		return out, nil
	}
	if n := c.node(); n != nil && c.value != nil && n.path() == "deviation.check" && w.Book != nil {
		if check := w.Book.Check(c.value.text); check != nil {
			path, err := w.sheets.path(check)
			if err != nil {
				return nil, refuse(jsonrpc2.CodeInternalError, "the sheet of %s cannot be written: %v", check.ID, err)
			}
			out = append(out, Location{URI: w.URI(path)})
		}
		return out, nil
	}
	m, kinds, ok := mentionAt(c)
	if !ok {
		return out, nil
	}
	for _, e := range things(family(w, d), kinds, m.name) {
		out = append(out, w.Location(spanOf(e)))
	}
	return out, nil
}

// besideOf is the path of a file by its name in another one.
func besideOf(from, name string) string {
	return filepath.ToSlash(filepath.Clean(filepath.Join(filepath.Dir(from), filepath.FromSlash(name))))
}

// reads reports whether a file is part of the job as it was last read.
func (d *Document) reads(path string) bool {
	return d.Job != nil && slices.ContainsFunc(d.Job.Files, func(f *source.File) bool { return f.Name == path })
}

// references lists where the thing is named that a place names.
func references(w *Workspace, d *Document, p ReferenceParams) ([]Location, error) {
	out := []Location{}
	files := family(w, d)
	t, _, err := thingAt(d, files, p.Position)
	if err != nil {
		return out, nil // no thing: none of it is named anywhere
	}
	for _, o := range familyOf(w, d, t.file) {
		for _, m := range o.mentions(t.named, t.counted) {
			if !m.gives || p.Context.IncludeDeclaration {
				out = append(out, w.Location(m.at))
			}
		}
	}
	return out, nil
}

// target is a thing to be renamed.
type target struct {
	named
	counted bool   // it stands for several, whose names begin with its own
	file    string // in which it gets its name
}

// thingAt is the thing that is named at a place, and the place of its name. The
// error says why there is none that has one name.
func thingAt(d *Document, files []*outline, p Position) (target, mention, error) {
	m, kinds, ok := mentionAt(files[0].cursorAt(d.Offset(p)))
	if !ok {
		return target{}, m, errors.New("no thing of the job is named here")
	}
	found := things(files, kinds, m.name)
	if m.gives { // its own entry, whatever else has that name
		found = slices.DeleteFunc(found, func(e *node) bool { return e.key != kinds[0] })
	}
	switch {
	case len(found) == 0:
		return target{}, m, fmt.Errorf("no %s is named %q", strings.Join(kinds, " or "), m.name)
	case len(found) > 1:
		return target{}, m, fmt.Errorf("several things are named %q: a rename could not tell them apart", m.name)
	case found[0].name() != m.name:
		return target{}, m, fmt.Errorf("%q is one of the strings that count makes of %q: rename that one", m.name, found[0].name())
	}
	return target{named{found[0].key, m.name}, found[0].counted(), spanOf(found[0]).File.Name}, m, nil
}

// prepareRename is the name that a rename at a place would change.
func prepareRename(w *Workspace, d *Document, p AtPosition) (*PrepareRename, error) {
	t, m, _, err := renamable(w, d, p.Position)
	if err != nil {
		return nil, refuse(jsonrpc2.CodeInvalidRequest, "%v", err)
	}
	at := m.at
	if raw := at.Text(); len(raw) >= 2 && raw[1:len(raw)-1] == m.before+m.name+m.after {
		at.Start += 1 + len(m.before)
		at.End -= 1 + len(m.after)
	}
	return &PrepareRename{d.Range(at), t.name}, nil
}

// renamable is the thing at a place, with the files that may name it; the error
// says why it cannot be renamed.
func renamable(w *Workspace, d *Document, p Position) (target, mention, []*outline, error) {
	files := family(w, d)
	t, m, err := thingAt(d, files, p)
	switch {
	case err != nil:
		return t, m, nil, err
	case d.Syntax != nil:
		return t, m, nil, fmt.Errorf("the text cannot be read now: %s", d.Syntax[0].Error())
	case d.Job == nil && files[0].root.get(includeKey) != nil:
		return t, m, nil, errors.New("the job cannot be read now, so that the files it includes are not known")
	case d.Job == nil && !d.isJob():
		return t, m, nil, errors.New("this file is a part of jobs, of which none is open that can be read: where they name the thing is not known")
	}
	files = familyOf(w, d, t.file)
	for _, o := range files[1:] {
		if _, err := source.NewIndex(o.file); err != nil {
			return t, m, nil, fmt.Errorf("a file of the job cannot be read now: %w", err)
		}
	}
	return t, m, files, nil
}

// rename gives a thing another name everywhere: in the job and what it includes,
// in other open jobs that include it, in the survey, and where a deviation excuses
// it.
func rename(w *Workspace, d *Document, p RenameParams) (*WorkspaceEdit, error) {
	t, _, files, err := renamable(w, d, p.Position)
	if err == nil {
		err = t.mayBe(files, p.NewName)
	}
	if err != nil {
		return nil, refuse(jsonrpc2.CodeInvalidRequest, "%v", err)
	}
	edit := &WorkspaceEdit{Changes: map[string][]TextEdit{}}
	put := func(at source.Span, text string) {
		uri := w.URI(at.File.Name)
		edit.Changes[uri] = append(edit.Changes[uri], TextEdit{w.Range(at), text})
	}
	for _, o := range files {
		for _, m := range o.mentions(t.named, t.counted) {
			put(m.at, job.Quote(m.before+p.NewName+m.after))
		}
		if err := t.deviations(d, o, p.NewName, put); err != nil {
			return nil, refuse(jsonrpc2.CodeInvalidRequest, "%v", err)
		}
	}
	if t.kind == "array" {
		t.survey(d, p.NewName, put)
	}
	if err := sameThings(w, d, edit); err != nil {
		return nil, refuse(jsonrpc2.CodeInvalidRequest, "%v", err)
	}
	return edit, nil
}

// sameThings refuses edits after which a job that they reach would not have as
// many things of each kind as before: an entry adds to one of a standard set, or
// to one of a folder of equipment, by its name alone.
func sameThings(w *Workspace, d *Document, edit *WorkspaceEdit) error {
	changed := map[string][]byte{}
	for uri, edits := range edit.Changes {
		text, err := w.Read(pathOf(uri))
		if err != nil {
			return err
		}
		changed[pathOf(uri)] = edited(newLines(text, w.utf8, w.before(pathOf(uri))), edits)
	}
	seen := map[string]bool{}
	for _, of := range append(slices.Collect(maps.Values(w.documents)), d) {
		if of.Job == nil || seen[of.Job.Files[0].Name] || !slices.ContainsFunc(of.Job.Files, func(f *source.File) bool { return changed[f.Name] != nil }) {
			continue
		}
		main := of.Job.Files[0].Name
		seen[main] = true
		was, err := thingsOf(main, w.Read)
		if err != nil {
			continue // it could be read before, and its faults are shown
		}
		is, err := thingsOf(main, func(path string) ([]byte, error) {
			if text := changed[path]; text != nil {
				return text, nil
			}
			return w.Read(path)
		})
		if err != nil {
			return fmt.Errorf("the job could not be read with that name: %w", err)
		}
		for _, kind := range slices.Sorted(maps.Keys(is)) {
			if was[kind] != is[kind] {
				return fmt.Errorf("with that name the job would have %d of %s and not %d: by its name an entry adds to one of a standard set or of the folder of equipment",
					is[kind], strings.ReplaceAll(kind, "_", " "), was[kind])
			}
		}
	}
	return nil
}

// thingsOf counts the entries of each list of a job, those that patterns make
// included.
func thingsOf(path string, read job.Open) (map[string]int, error) {
	text, err := read(path)
	if err != nil {
		return nil, err
	}
	j, err := job.Parse(path, text, read)
	if err != nil {
		return nil, err
	}
	out := map[string]int{}
	v := reflect.ValueOf(j).Elem()
	for i := range v.NumField() {
		if key := v.Type().Field(i).Tag.Get("key"); key != "" && v.Field(i).Kind() == reflect.Slice {
			out[key] = v.Field(i).Len()
		}
	}
	return out, nil
}

// mayBe says why the thing may not have a name; nil where it may.
func (t target) mayBe(files []*outline, name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return errors.New("a name is expected; found nothing but space")
	case strings.TrimSpace(name) != name:
		return fmt.Errorf("%q begins or ends with space", name)
	case name == t.name:
		return nil
	}
	for _, o := range files {
		list := o.listOf(t.kind)
		if list == nil {
			continue
		}
		for _, e := range list.entries {
			_, made := memberOf(name, e.name())
			_, makes := memberOf(e.name(), name)
			if e.name() == name || made && e.counted() || makes && t.counted {
				return fmt.Errorf("%s %q is there already: %s", strings.ReplaceAll(t.kind, "_", " "), e.name(), spanOf(e).Position())
			}
		}
	}
	return t.clear(files, name)
}

// clear refuses a name by which a key that names things of several kinds would
// then mean another one.
func (t target) clear(files []*outline, name string) error {
	for _, o := range files {
		for _, p := range o.pairs {
			if p.node == nil {
				continue
			}
			kinds, _ := p.node.kindsOf()
			if len(kinds) < 2 || !slices.Contains(kinds, t.kind) {
				continue
			}
			for _, v := range p.value.texts() {
				if v.text != t.name && v.text != name {
					continue
				}
				for _, of := range []string{t.name, name} {
					for _, kind := range kinds {
						if kind != t.kind && (kind == "service" && of == kind || len(things(files, []string{kind}, of)) > 0) {
							return fmt.Errorf("a %s is named %q too, and %s could mean either", strings.ReplaceAll(kind, "_", " "), of, v.at.Position())
						}
					}
				}
			}
		}
	}
	return nil
}

// deviations renames the thing, and what is named after it, where a deviation
// excuses it. The error says where that could not be told.
func (t target) deviations(d *Document, o *outline, name string, put func(source.Span, string)) error {
	list := o.listOf("deviation")
	if list == nil {
		return nil
	}
	for _, e := range list.entries {
		subject, v := e.text("subject")
		if v == nil || !hasWord(subject, t.name) {
			continue
		}
		id, _ := e.text("check")
		about, known := t.isAbout(d, id, subject)
		switch {
		case !known:
			return fmt.Errorf("%s: it cannot be told whether the deviation of %q means this %s; rename it there first", v.at.Position(), subject, t.kind)
		case !about:
			continue
		case strings.Count(subject, t.name) > 1:
			return fmt.Errorf("%s: %q has the name more than once; rename it there first", v.at.Position(), subject)
		}
		put(v.at, job.Quote(strings.Replace(subject, t.name, name, 1)))
	}
	return nil
}

// hasWord reports whether a text has a word or words that stand by themselves.
func hasWord(text, words string) bool {
	return strings.Contains(" "+text+" ", " "+words+" ")
}

// isAbout reports whether the subject of a deviation is the thing or a part of
// it; known is false where the review cannot tell.
func (t target) isAbout(d *Document, check, subject string) (about, known bool) {
	if d.Review == nil {
		return false, false
	}
	key := job.Join(t.kind, t.name)
	for i := range d.Review.Outcomes {
		o := &d.Review.Outcomes[i]
		if o.Check.ID != check || subject != o.Subject.Name && subject != o.Subject.Label() {
			continue
		}
		known = true
		for place := range o.Subject.Places {
			if place == key {
				return true, true
			}
		}
	}
	return false, known
}

// survey renames an array in the CSV file of the survey.
func (t target) survey(d *Document, name string, put func(source.Span, string)) {
	if d.Job == nil {
		return
	}
	for _, point := range d.Job.AsBuilt.Points {
		if point.Array == t.name {
			at := cellAt(point.ArrayAt)
			put(at, cell(name, at.Text()))
		}
	}
}

// cellAt is the whole cell of a CSV file that starts at a place.
func cellAt(start source.Span) source.Span {
	text, end := start.File.Text, start.Start
	if end < len(text) && text[end] == '"' {
		for end++; end < len(text); end++ {
			if text[end] == '"' && (end+1 == len(text) || text[end+1] != '"') {
				return source.Span{File: start.File, Start: start.Start, End: end + 1}
			} else if text[end] == '"' {
				end++
			}
		}
	}
	for end < len(text) && !strings.ContainsRune(",;\r\n", rune(text[end])) {
		end++
	}
	for end > start.Start && (text[end-1] == ' ' || text[end-1] == '\t') {
		end--
	}
	return source.Span{File: start.File, Start: start.Start, End: end}
}

// cell writes a text as a cell of a CSV file, in quotes where it needs them or
// the one before had them.
func cell(text, was string) string {
	if strings.ContainsAny(text, ",;\"#\n\r") || strings.HasPrefix(was, `"`) {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}
