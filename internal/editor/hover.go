package editor

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// hover tells what stands at a place: what a key means and may hold, its value in
// other units, how it comes about where it is left out, and which checks read it;
// of a table what it is and what the review finds of it.
func hover(w *Workspace, d *Document, p AtPosition) (*Hover, error) {
	o := newOutline(d.File)
	c := o.cursorAt(d.Offset(p.Position))
	n := c.node()
	if n == nil || n.field == nil {
		return nil, nil
	}
	t := &teller{d: d, n: n}
	switch {
	case c.spot == inHeader || n.field.Table != nil:
		t.table(c.spot != inHeader)
	default:
		t.key(c, append(family(w, d), shelved(w, d)...))
		if n.path() == "deviation.check" && w.Book != nil {
			t.sheet(w, c)
		}
	}
	at := d.Range(c.at(o))
	return &Hover{w.markup(t.String()), &at}, nil
}

// markup is a text in Markdown as the client shows it.
func (w *Workspace) markup(text string) MarkupContent {
	text = strings.TrimSpace(text)
	if shows := w.Client.TextDocument.Hover.ContentFormat; len(shows) == 0 || slices.Contains(shows, Markdown) {
		return MarkupContent{Markdown, text}
	}
	var plain strings.Builder
	for i := 0; i < len(text); i++ {
		switch {
		case text[i] == '`' || strings.HasPrefix(text[i:], "**") || i > 0 && strings.HasPrefix(text[i-1:], "**"):
			continue
		case text[i] == '\\' && i+1 < len(text):
			i++
		}
		plain.WriteByte(text[i])
	}
	return MarkupContent{PlainText, plain.String()}
}

// teller writes what is told of a place.
type teller struct {
	strings.Builder
	d *Document
	n *node
}

func (t *teller) paragraph(format string, a ...any) { fmt.Fprintf(t, format+"\n\n", a...) }

// table tells of a section, a list or an entry. A key in a line of its own means
// the table as well.
func (t *teller) table(list bool) {
	f := t.n.field
	title := wording.Header(t.n.path(), f.Kind == job.KindTables)
	if name := t.n.name(); name != "" && t.n.number > 0 {
		title += " " + wording.Plain(name)
	}
	t.paragraph("**`%s`**", code(title))
	t.paragraph("%s", wording.Sentence(wording.Markdown(f.Doc)))
	if list {
		return
	}
	if r, key := t.d.Review, t.n.Key(); r != nil && t.known() {
		var about []*review.Outcome
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			for place := range o.Subject.Places {
				if place == key {
					about = append(about, o)
					break
				}
			}
		}
		t.comments(about)
		t.chain(about)
		t.outcomes("Checks of it", about)
	}
}

// known reports whether the review can be asked about the node by its key. Entries
// without a name may have another number in the job, or in an earlier text.
func (t *teller) known() bool {
	for n := t.n; n != nil; n = n.parent {
		if n.number > 0 && n.name() == "" && (t.d.Old || !t.d.isMain()) {
			return false
		}
	}
	return true
}

// code makes a text fit for a stretch of code in Markdown.
func code(text string) string { return strings.ReplaceAll(wording.Plain(text), "`", "'") }

// key tells of a key and of the value at the cursor.
func (t *teller) key(c cursor, files []*outline) {
	f := t.n.field
	t.paragraph("**`%s`** %s", code(t.n.Key()), wording.Markdown(f.Type()))
	t.paragraph("%s", describeField(f, t.d.system()))
	value := c.value
	if value == nil && t.n.pair != nil {
		value = t.n.pair.value
	}
	if value != nil {
		t.measured(value)
		t.names(c, files)
		switch {
		case t.n.path() == standardKey:
			t.set(value)
		case t.n.pattern && t.n.key == "like" && value.kind == quoted:
			t.taken(value.text, files)
		}
	}
	r := t.d.Review
	if r == nil || !t.known() {
		return
	}
	if s, ok := r.Job.Slot(t.n.Key()); ok && s.Find() != "" {
		t.paragraph("Found: %s", wording.Markdown(s.Find()))
	}
	for _, line := range r.FilledIn(t.n.Key()) {
		t.paragraph("%s", wording.Markdown(line))
	}
	resting := r.Resting(t.n.Key())
	t.comments(resting)
	t.alsoRead(t.chain(resting))
	t.outcomes("Checks that read it", resting)
}

// mostComments is how many comments are told at a place.
const mostComments = 4

// comments tells which comments of the review some outcomes are of, or ask for
// the key, and what comes of each.
func (t *teller) comments(of []*review.Outcome) {
	told := map[*review.Outcome]bool{}
	for _, o := range of {
		told[o] = true
	}
	key, more := t.n.Key(), 0
	for _, c := range t.d.Review.Comments() {
		asks := slices.ContainsFunc(c.Missing, func(m *review.Missing) bool { return slices.Contains(m.Need.Keys, key) })
		if !asks && !slices.ContainsFunc(c.Subjects, func(o *review.Outcome) bool { return told[o] }) {
			continue
		}
		if more++; more > mostComments {
			continue
		}
		text := fmt.Sprintf("%s, %s: %s%s", c.Severity, wording.Status(c), wording.Heading(c), wording.Shortly(c))
		if comes := wording.Comes(c); comes != "" {
			text += "; of it " + map[bool]string{true: "comes ", false: "come "}[c.Followers() == 1] + comes
		}
		t.paragraph("**Comment %d** %s", c.Number, wording.Sentence(wording.Markdown(text)))
	}
	if more > mostComments {
		t.paragraph("And %d more comments.", more-mostComments)
	}
}

// How far a chain is told at a place: the whole of it is for plumbrule why.
const (
	chainLevels = 3
	mostChain   = 16
)

// chain tells how one of some outcomes came about, down to the keys of the job
// with their lines, and gives that outcome; nil where none was decided. It is the
// first that a comment is about, which others come of, or else the worst.
func (t *teller) chain(of []*review.Outcome) *review.Outcome {
	var worst *review.Outcome
	for _, c := range t.d.Review.Comments() {
		if i := slices.IndexFunc(c.Subjects, func(o *review.Outcome) bool { return slices.Contains(of, o) }); i >= 0 {
			of = c.Subjects[i : i+1]
			break
		}
	}
	for _, o := range of {
		if o.Result != review.NotApplicable && (worst == nil || badness(o) > badness(worst) || badness(o) == badness(worst) && worst.Measure == nil && o.Measure != nil) {
			worst = o
		}
	}
	if worst == nil {
		return nil
	}
	r := t.d.Review
	lines, more := wording.ChainOf(r, worst, chainLevels, mostChain, wording.LanguageOf(r))
	held := worst.Held()
	if held != "" {
		held = ", " + held
	}
	if t.d.Old {
		held += ", of an earlier text"
	}
	t.paragraph("How `%s` for %s came about%s:", worst.Check.ID, wording.Markdown(worst.Subject.Label()), wording.Markdown(held))
	for _, l := range lines {
		text := l.Text
		if len(l.Notes) > 0 {
			text += "; " + strings.Join(l.Notes, "; ")
		}
		fmt.Fprintf(t, "%s- %s\n", strings.Repeat("  ", l.Level), wording.Markdown(text))
	}
	if more {
		fmt.Fprintf(t, "- and more: `plumbrule why`\n")
	}
	t.paragraph("")
	return worst
}

// alsoRead tells what else rests on the key than an outcome.
func (t *teller) alsoRead(besides *review.Outcome) {
	n, open := t.d.Review.AlsoRead(t.n.Key(), besides)
	if besides == nil || n == 0 {
		return
	}
	text := wording.Plural(n, "other outcome rests", "other outcomes rest") + " on this key"
	if numbers := wording.NumbersOf(t.d.Review, open); numbers != "" {
		text += ", outstanding in " + numbers
	}
	t.paragraph("%s.", text)
}

// measured tells the value in the units of both systems.
func (t *teller) measured(v *value) {
	if !hasUnit(t.n.field.Kind) || v.kind != quoted {
		return
	}
	q, err := quantity.Parse(v.text, t.n.field.Dim)
	if err != nil && t.n.field.Rated != "" {
		q, err = quantity.Parse(v.text, quantity.VoltagePerTemperature)
	}
	if err != nil {
		return // the diagnostic says so
	}
	said := []string{q.String()}
	for _, text := range []string{q.Format(quantity.US), q.Format(quantity.SI)} {
		if !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	t.paragraph("Value: %s", wording.Markdown(strings.Join(said, " = ")))
}

// names tells what the text at the cursor names.
func (t *teller) names(c cursor, files []*outline) {
	m, kinds, ok := mentionAt(c)
	if !ok || m.gives {
		return
	}
	for _, e := range things(files, kinds, m.name) {
		at := e.at().Position()
		t.paragraph("Names the %s `%s`: %s:%d", strings.ReplaceAll(e.key, "_", " "), code(e.name()), wording.Markdown(base(at.File)), at.Line)
	}
}

// mostTaken is how many keys or entries are listed that an entry or a job takes.
const mostTaken = 24

// set tells what a standard set gives.
func (t *teller) set(v *value) {
	for _, s := range job.StandardSets() {
		if v.kind == quoted && s.Name == v.text {
			t.paragraph("%s", wording.Sentence(wording.Markdown(s.Meaning)))
			t.list("Gives", s.Gives())
		}
	}
}

// taken tells what an entry takes of the one that it is like: the keys that it
// does not state itself.
func (t *teller) taken(from string, files []*outline) {
	heir := t.n.parent
	givers := things(files, []string{heir.key}, from)
	if len(givers) != 1 || givers[0] == heir {
		return
	}
	var without []string
	if n := heir.get("without"); n != nil && n.pair != nil {
		for _, v := range n.pair.value.texts() {
			without = append(without, v.text)
		}
	}
	var out []string
	for _, f := range givers[0].fields {
		own := heir.get(f.key)
		if f.key == "name" || own != nil && own.pair != nil || slices.Contains(without, f.key) {
			continue
		}
		text := f.key
		if f.pair != nil && f.pair.value != nil {
			text += " = " + shortened(strings.Join(strings.Fields(f.pair.value.at.Text()), " "))
		}
		out = append(out, text)
	}
	t.list("Takes", out)
}

// shortened cuts a text that is too long for a line.
func shortened(text string) string {
	const most = 80
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + " …"
}

// list writes texts of a job below one another.
func (t *teller) list(title string, texts []string) {
	if len(texts) == 0 {
		return
	}
	t.paragraph("%s:", title)
	for _, text := range texts[:min(len(texts), mostTaken)] {
		fmt.Fprintf(t, "- `%s`\n", code(text))
	}
	if more := len(texts) - mostTaken; more > 0 {
		fmt.Fprintf(t, "- and %d more\n", more)
	}
	t.paragraph("")
}

func base(path string) string { return path[strings.LastIndexByte(path, '/')+1:] }

// mostListed is how many checks are listed at a place.
const mostListed = 10

// outcomes lists checks with the worst result of each, worst first.
func (t *teller) outcomes(title string, all []*review.Outcome) {
	var checks []*checked
	byID := map[string]*checked{}
	for _, o := range all {
		if o.Result == review.NotApplicable {
			continue
		}
		k := byID[o.Check.ID]
		if k == nil {
			k = &checked{check: o.Check, worst: o}
			byID[o.Check.ID] = k
			checks = append(checks, k)
		}
		if k.all++; badness(o) > badness(k.worst) {
			k.worst = o
		}
	}
	if len(checks) == 0 {
		return
	}
	slices.SortStableFunc(checks, func(a, b *checked) int { return cmp.Compare(badness(b.worst), badness(a.worst)) })
	old := ""
	if t.d.Old {
		old = ", of an earlier text"
	}
	t.paragraph("%s: %d, the worst %s%s", title, len(checks), result(checks[0].worst), old)
	for _, k := range checks[:min(len(checks), mostListed)] {
		fmt.Fprintf(t, "- `%s` %s%s\n", k.check.ID, result(k.worst), k.says())
	}
	if more := len(checks) - mostListed; more > 0 {
		fmt.Fprintf(t, "- and %d more\n", more)
	}
	t.paragraph("")
}

// checked is a check with the worst of its outcomes.
type checked struct {
	check *codebook.Check
	worst *review.Outcome
	all   int
}

// says is what the worst outcome found, and of what.
func (k *checked) says() string {
	if !k.worst.Outstanding() {
		return ""
	}
	text := k.worst.Subject.Label()
	if words := cmp.Or(k.worst.Finding, k.worst.Why()); words != "" {
		text += ": " + words
	}
	return "; " + wording.Markdown(text)
}

func result(o *review.Outcome) string {
	if o.Excused != nil {
		return "excused"
	}
	return string(o.Result)
}

func badness(o *review.Outcome) int {
	switch {
	case o.Excused != nil:
		return 1
	case o.Result == review.NotMet:
		return 3
	case o.Result == review.Undetermined:
		return 2
	}
	return 0
}

// sheet tells what the check is that a deviation excuses.
func (t *teller) sheet(w *Workspace, c cursor) {
	if c.value == nil {
		return
	}
	check := w.Book.Check(c.value.text)
	if check == nil {
		return
	}
	t.paragraph("**`%s`** %s", check.ID, wording.Markdown(check.Title))
	t.paragraph("%s", wording.Markdown(check.Because))
	var cites []string
	for _, cite := range check.Cites {
		cites = append(cites, wording.Cited(review.Citation{Code: cite.Code, Edition: strings.Join(cite.Editions, ", "), Section: cite.Section}))
	}
	if len(cites) > 0 {
		t.paragraph("%s", wording.Markdown(strings.Join(cites, "; ")))
	}
}

// spanOf is the place of a node in the text that a person would look at.
func spanOf(n *node) source.Span {
	if _, v := n.text("name"); v != nil {
		return v.at
	}
	return n.at()
}
