package editor

import (
	"fmt"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// complete lists what may be typed at a place: tables to open, keys that the
// table has not got yet (those that the review misses first), words, names of
// things, units.
func complete(w *Workspace, d *Document, p AtPosition) (*CompletionList, error) {
	o := newOutline(d.File)
	k := &completer{w: w, d: d, o: o, c: o.cursorAt(d.Offset(p.Position)), list: &CompletionList{Items: []CompletionItem{}}}
	switch k.c.spot {
	case inHeader:
		k.headers(o.span(k.c.header.at.Start, k.c.header.at.End), d.File.Text[k.c.header.at.Start:k.c.offset])
	case onEmpty, atKey:
		k.keys()
	case inValue:
		k.values()
	}
	return k.list, nil
}

// completer collects what may be typed at one place.
type completer struct {
	w    *Workspace
	d    *Document
	o    *outline
	c    cursor
	list *CompletionList
}

// add adds an item that replaces a place. typed is what already stands there
// before the cursor, of which the item keeps the beginning in its filter: clients
// hold an item against it.
func (k *completer) add(item CompletionItem, at source.Span, text string) {
	if item.FilterText == "" {
		item.FilterText = item.Label
	}
	item.TextEdit = &TextEdit{k.d.Range(at), text}
	item.SortText = fmt.Sprintf("%s%04d", item.SortText, len(k.list.Items))
	k.list.Items = append(k.list.Items, item)
}

func (k *completer) snippets() bool {
	return k.w.Client.TextDocument.Completion.CompletionItem.SnippetSupport
}

// headers offers every table of the model that may be opened at a place.
func (k *completer) headers(at source.Span, typed []byte) {
	brackets := strings.Repeat("[", min(len(typed)-len(strings.TrimLeft(string(typed), "[")), 2))
	k.tables(job.Model(), k.o.root, "", at, brackets)
}

func (k *completer) tables(t *job.Table, n *node, path string, at source.Span, brackets string) {
	for _, f := range t.Fields {
		if f.Table == nil {
			continue
		}
		here, child := source.Key(path, f.Key), n.get(f.Key)
		many := f.Kind == job.KindTables
		opened := child != nil && (child.header != nil && child.header != k.c.header || child.pair != nil)
		if many || !opened {
			header := wording.Header(here, many)
			item := CompletionItem{Label: header, Kind: CompletionModule, Detail: f.Doc, SortText: "3", FilterText: brackets + here}
			k.add(item, at, header)
		}
		last := child
		if many {
			if child == nil || len(child.entries) == 0 {
				continue
			}
			last = k.entryAbove(child)
		}
		k.tables(f.Table, last, here, at, brackets)
	}
}

// entryAbove is the entry of a list that a table opened at the cursor would
// belong to.
func (k *completer) entryAbove(list *node) *node {
	found := list.entries[0]
	for _, e := range list.entries {
		if at := e.at(); at.Known() && at.Start < k.c.offset && (k.c.header == nil || e.header != k.c.header) {
			found = e
		}
	}
	return found
}

// keys offers the keys of a table that it has not got yet.
func (k *completer) keys() {
	table, at, first, equals := k.c.table, k.o.span(k.c.offset, k.c.offset), true, false
	if k.c.spot == atKey {
		at, first, equals = k.c.pair.words[k.c.word].at, k.c.word == 0, k.c.pair.equals >= 0
		if !first {
			table = k.c.pair.words[k.c.word-1].node
		}
		equals = equals || k.c.word < len(k.c.pair.words)-1
	}
	if table == nil || table.table == nil {
		return
	}
	missing := k.missing(table)
	for _, list := range [][]*job.Field{table.table.Fields, table.table.Patterns} {
		for i, f := range list {
			if k.stated(table, f.Key) || first && f.Table != nil && table.isRoot() {
				continue
			}
			item := CompletionItem{Label: f.Key, Kind: CompletionProperty, Detail: holds(f, k.d.system()), SortText: "2"}
			rank, waits := missing[f.Key]
			switch {
			case waits:
				item.SortText = fmt.Sprintf("0%04d", rank)
				item.Detail = "missing: " + item.Detail
			case f.Required:
				item.SortText = "0"
			case i < len(table.table.Fields) && len(list) == len(table.table.Fields):
				item.SortText = "1"
			}
			item.Documentation = &MarkupContent{Markdown, describeField(f, k.d.system())}
			text := f.Key
			switch {
			case equals:
			case f.Table != nil && f.Kind == job.KindTable:
				text += "."
			case f.Table != nil:
				continue // a list of tables is opened by a header
			default:
				text += k.padding(f.Key) + "= "
				if k.snippets() && isQuoted(f.Kind) {
					item.InsertTextFormat = InsertSnippet
					text = strings.ReplaceAll(text, "$", `\$`) + `"$1"$0`
				}
			}
			k.add(item, at, text)
		}
	}
	if table.isRoot() && first {
		k.topKeys(table, at, equals)
	}
	if line := k.o.lineStart(at.Start); first && !equals && k.o.spaces(line) == at.Start {
		k.headers(at, nil)
	}
}

// topKeys offers the keys at the top that are none of the model.
func (k *completer) topKeys(table *node, at source.Span, equals bool) {
	if len(k.o.headers) > 0 && k.o.headers[0].at.Start < at.Start {
		return
	}
	for _, top := range []struct{ key, detail string }{
		{includeKey, "list of TOML files beside the job that belong to it"},
		{equipmentKey, "folder with files of equipment, of which the job takes the types that it names"},
	} {
		if k.stated(table, top.key) {
			continue
		}
		text := top.key + " = "
		if equals {
			text = top.key
		}
		k.add(CompletionItem{Label: top.key, Kind: CompletionProperty, Detail: top.detail, SortText: "2"}, at, text)
	}
}

// Keys at the top of a job: the files that belong to it, its folder of equipment,
// its standard sets.
const (
	includeKey   = "include"
	equipmentKey = "equipment"
	standardKey  = "standard"
)

// stated reports whether a table has a key already, elsewhere than at the cursor.
func (k *completer) stated(table *node, key string) bool {
	n := table.get(key)
	if n == nil {
		return false
	}
	for _, at := range n.words {
		if at.Start > k.c.offset || k.c.offset > at.End {
			return true
		}
	}
	return false
}

// missing ranks the keys of a table that the review misses.
func (k *completer) missing(table *node) map[string]int {
	out := map[string]int{}
	if k.d.Review == nil {
		return out
	}
	key := table.Key()
	for i, m := range k.d.Review.Missing() {
		for _, s := range m.Slots {
			if _, ranked := out[s.Field.Key]; !ranked && s.Key == job.Join(key, s.Field.Key) {
				out[s.Field.Key] = i
			}
		}
	}
	return out
}

// padding is what stands between a key and its equals sign, so that it stands
// below that of the line above where the two are a block.
func (k *completer) padding(key string) string {
	line := k.o.lineStart(k.c.offset)
	if line == 0 {
		return " "
	}
	above := k.o.lineStart(line - 1)
	for _, p := range k.o.pairs {
		if p.at.Start == above && p.equals > 0 && p.equals < line {
			return wording.Spaces(max(p.equals-above-len(key), 1))
		}
	}
	return " "
}

// isQuoted reports whether values of a kind stand in quotes.
func isQuoted(kind job.Kind) bool {
	return kind == job.KindQuantity || kind == job.KindText || kind == job.KindSize
}

// values offers what the key at the cursor may hold.
func (k *completer) values() {
	n := k.c.pair.node
	if n == nil {
		return
	}
	if n.key == includeKey && n.parent.isRoot() {
		k.files(".toml")
		return
	}
	if n.key == equipmentKey && n.parent.isRoot() {
		k.folders()
		return
	}
	f := n.field
	if f == nil || f.Table != nil {
		return
	}
	kinds, composed := n.kindsOf()
	switch {
	case n.path() == standardKey:
		k.sets()
	case len(f.Choice) > 0:
		k.words(f.Choice, CompletionEnumMember, f.Doc)
	case len(kinds) > 0:
		k.names(n, kinds, composed)
	case f.Kind == job.KindFlag:
		k.flags()
	case f.Kind == job.KindSize:
		var sizes []string
		for _, s := range quantity.Sizes() {
			sizes = append(sizes, s.String())
		}
		k.words(sizes, CompletionValue, f.Doc)
	case hasUnit(f.Kind):
		k.units(f.Dim)
	case f.Key == "file":
		k.files(".csv")
	case n.path() == "deviation.check" && k.w.Book != nil:
		k.checks()
	case n.path() == "deviation.subject" && k.d.Review != nil:
		k.subjects(n)
	}
}

// place is what a value replaces: the text that is typed, and of one that does
// not close what stands before the cursor. quote is the one that opens it.
func (k *completer) place() (at source.Span, quote string) {
	v := k.c.value
	if v == nil {
		return k.o.span(k.c.offset, k.c.offset), ""
	}
	at = v.at
	if v.kind == quoted {
		quote = string(k.o.file.Text[at.Start])
	}
	if !v.closed {
		at.End = max(k.c.offset, at.Start)
	}
	return at, quote
}

// words offers texts.
func (k *completer) words(words []string, kind int, detail string) {
	at, quote := k.place()
	open, end := k.brackets()
	for _, word := range words {
		k.add(CompletionItem{Label: word, Kind: kind, Detail: detail, FilterText: quote + word}, at, open+job.Quote(word)+end)
	}
}

// brackets are what a value of a list lacks.
func (k *completer) brackets() (open, end string) {
	if isList(k.c.pair.node.field.Kind) && len(k.c.path) == 0 {
		return "[", "]"
	}
	return "", ""
}

func isList(kind job.Kind) bool {
	switch kind {
	case job.KindTexts, job.KindCounts, job.KindQuantities, job.KindPoint, job.KindPoints, job.KindCells:
		return true
	}
	return false
}

// names offers the names of things, without those that a list has.
func (k *completer) names(n *node, kinds []string, composed bool) {
	listed := k.listed()
	number := ""
	if composed {
		number = "1 x "
		if k.c.value != nil {
			if typed, _, ok := strings.Cut(k.c.value.text, " "); ok {
				number = typed + " x "
			}
		}
	}
	own := ""
	if n.pattern && n.key == "like" {
		own = n.parent.name()
	}
	files := append(family(k.w, k.d), shelved(k.w, k.d)...)
	for _, kind := range kinds {
		var names []string
		for _, name := range namesOf(files, kind) {
			if name != own && !slices.Contains(listed, number+name) {
				names = append(names, number+name)
			}
		}
		k.words(names, CompletionReference, strings.ReplaceAll(kind, "_", " "))
	}
}

// listed are the texts that a list has besides the one at the cursor.
func (k *completer) listed() []string {
	var out []string
	if n := k.c.pair.node; isList(n.field.Kind) && n.pair != nil {
		for _, v := range n.pair.value.texts() {
			if v != k.c.value {
				out = append(out, v.text)
			}
		}
	}
	return out
}

// sets offers the standard sets that the job has not got yet.
func (k *completer) sets() {
	listed := k.listed()
	for _, s := range job.StandardSets() {
		if !slices.Contains(listed, s.Name) {
			k.words([]string{s.Name}, CompletionModule, s.Meaning)
		}
	}
}

// folders offers the folders beside the document, or in the one that is typed.
func (k *completer) folders() {
	if !strings.Contains(k.d.Path, "/") {
		return
	}
	typed := ""
	if k.c.value != nil {
		typed = k.c.value.text
	}
	within := typed[:strings.LastIndexByte(typed, '/')+1]
	entries, err := os.ReadDir(besideOf(k.d.Path, within))
	if err != nil {
		return // no folder, nothing to offer
	}
	at, quote := k.place()
	for _, e := range entries {
		if name := within + e.Name(); e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			k.add(CompletionItem{Label: name, Kind: CompletionValue, FilterText: quote + name}, at, job.Quote(name))
		}
	}
}

// hasUnit reports whether values of a kind are written with a unit.
func hasUnit(kind job.Kind) bool {
	switch kind {
	case job.KindQuantity, job.KindQuantities, job.KindPoint, job.KindPoints:
		return true
	}
	return false
}

func (k *completer) flags() {
	at, _ := k.place()
	for _, word := range []string{"true", "false"} {
		k.add(CompletionItem{Label: word, Kind: CompletionEnumMember}, at, word)
	}
}

// units offers the units of a dimension behind a number, those of the job's
// system first.
func (k *completer) units(d quantity.Dimension) {
	number := ""
	if k.c.value != nil && (k.c.value.kind == quoted || k.c.value.kind == bare) {
		number = numberOf(k.c.value.text)
	}
	if number == "" {
		k.list.IsIncomplete = true // until a number is typed
		return
	}
	at, quote := k.place()
	for _, unit := range unitsOf(d, k.d.system()) {
		text := number + unit
		if !strings.HasPrefix(unit, ":") && unit != "%" {
			text = number + " " + unit
		}
		k.add(CompletionItem{Label: text, Kind: CompletionUnit, Detail: d.String(), FilterText: quote + text}, at, job.Quote(text))
	}
}

// numberOf is the number that a text begins with, as it is typed; "" for none.
func numberOf(text string) string {
	end := 0
	for i, r := range text {
		if !strings.ContainsRune("+-−.0123456789/ ", r) {
			break
		}
		end = i + len(string(r))
	}
	number := strings.TrimSpace(text[:end])
	if !strings.ContainsAny(number, "0123456789") {
		return ""
	}
	return number
}

// unitsOf lists the units of a dimension that stand behind a number, those of a
// system first.
func unitsOf(d quantity.Dimension, sys quantity.System) []string {
	var first, rest []string
	for _, unit := range quantity.Units(d) {
		text := "1 " + unit
		if unit == pitchOf12 {
			text = "1" + unit
		}
		v, err := quantity.Parse(text, d)
		if err != nil {
			continue // feet and inches: two numbers
		}
		if written, told := v.System(); told && written != sys {
			rest = append(rest, unit)
		} else {
			first = append(first, unit)
		}
	}
	return append(first, rest...)
}

// pitchOf12 is the unit of a slope as rise over run.
const pitchOf12 = ":12"

// files offers the files beside the document that end in an extension.
func (k *completer) files(extension string) {
	if !strings.Contains(k.d.Path, "/") {
		return
	}
	entries, err := os.ReadDir(path.Dir(k.d.Path))
	if err != nil {
		return // no folder, nothing to offer
	}
	at, quote := k.place()
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() || !strings.EqualFold(path.Ext(name), extension) || name == path.Base(k.d.Path) {
			continue
		}
		text := job.Quote(name)
		if extension == ".toml" && len(k.c.path) == 0 {
			text = "[" + text + "]"
		}
		k.add(CompletionItem{Label: name, Kind: CompletionValue, FilterText: quote + name}, at, text)
	}
}

// checks offers the checks that a deviation may excuse, those that are
// outstanding first.
func (k *completer) checks() {
	at, quote := k.place()
	count := map[string]int{}
	if k.d.Review != nil {
		for i := range k.d.Review.Outcomes {
			if o := &k.d.Review.Outcomes[i]; o.Outstanding() {
				count[o.Check.ID]++
			}
		}
	}
	for _, c := range k.w.Book.Checks {
		item := CompletionItem{Label: c.ID, Kind: CompletionReference, Detail: c.Title, FilterText: quote + c.ID, SortText: "1"}
		if n := count[c.ID]; n > 0 {
			item.SortText, item.Detail = "0", strconv.Itoa(n)+" outstanding: "+c.Title
		}
		k.add(item, at, job.Quote(c.ID))
	}
}

// subjects offers what the check of a deviation found something at.
func (k *completer) subjects(n *node) {
	id, _ := n.parent.text("check")
	var names []string
	for i := range k.d.Review.Outcomes {
		if o := &k.d.Review.Outcomes[i]; o.Check.ID == id && o.Outstanding() {
			names = append(names, o.Subject.Label())
		}
	}
	k.words(names, CompletionReference, id)
}
