package drawing

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Placards draws each label of the job at its own size, with the height of its
// letters to scale and the values that it has to tell. Where the review computes
// a value the placard has that. The words are what it is about, in our own: the
// wording that a code prescribes stands in the section named below each. The same
// review gives the same bytes.
func Placards(w io.Writer, r *review.Review, o Options) error {
	p := &placards{newSVGDrawing(r, "placards", "Placards")}
	p.note = "1:1 when printed at the size of this paper"
	p.sheets = 1
	y := p.field().y0 + 6
	for i := range r.Job.Labels {
		y = p.label(&r.Job.Labels[i], y)
	}
	if len(r.Job.Labels) == 0 {
		p.body.text(svgText{at: svgPoint{p.field().x0 + 10, y + 14}, text: "The job lists no label.", size: placardSmall})
	}
	p.extra = []string{fmt.Sprintf("%s, to scale.", wording.Plural(len(r.Job.Labels), "label", "labels"))}
	_, err := w.Write(p.write(Options{Version: o.Version}, ""))
	return err
}

type placards struct{ *svgDrawing }

// field is the part of a sheet above the title block.
func (p *placards) field() svgBox { return p.sheet.wide() }

const (
	placardSmall = 8.0 // size of the text beside a placard
	// capitals is the height of capital letters over the size of a sans-serif face.
	capitals      = 0.73
	pointsInMetre = 72 / 0.0254 // points of 1/72 in, a metre
)

// placardWords are what a kind of label is about.
var placardWords = map[string]string{
	"dc-voltage": "Photovoltaic source, direct current", "rapid-shutdown": "Rapid shutdown of the photovoltaic system", "rapid-shutdown-switch": "Rapid shutdown switch",
	"dc-raceway": "Photovoltaic conductors, direct current", "pv-disconnect": "Disconnect of the photovoltaic system", "ac-output": "Photovoltaic system, output",
	"do-not-relocate": "Source device: keep it in its place", "breaker-sum": "Devices here add up: none larger, none more", "directory": "Power sources and their disconnects",
	"dual-source": "Fed from two sources", "combiner": "Photovoltaic combiner, direct current", "fault-current": "Available fault current",
	"emergency-disconnect": "Emergency disconnect of the service", "arc-flash": "Arc flash",
}

// colours are those that the adopted edition gives to a kind of label, by the
// table of the rules, with the section and how sure that is; of a kind that the
// table does not have they stand in its section.
func (p *placards) colours(kind string) string {
	const code = "NEC"
	edition := p.r.Adopted[code]
	t, err := p.r.Model.Tables.Get(code, edition, "label-colours")
	if err != nil || !t.Has(kind) {
		return "colours by the section, or by choice where it gives none"
	}
	letters, _ := t.Text(kind, "letters")
	ground, _ := t.Text(kind, "background")
	section, _ := t.Text(kind, "section")
	return fmt.Sprintf("colours %s on %s by %s %s (%s)", letters, ground, job.EditionName(code, edition), section, t.Provenance)
}

// value is what a placard says of a quantity: computed where the review has it,
// else as the job's label sheet says it, else left to be filled in.
func (p *placards) value(stated job.Quantity, kind, term string, dim quantity.Dimension) (text, how string) {
	if term != "" {
		for _, s := range p.r.Model.Subjects(kind) {
			if v, ok := p.r.Model.Term(s, term).V.(float64); ok {
				return quantity.Of(v, dim).Format(p.r.System), "computed"
			}
		}
	}
	if stated.Known {
		return stated.Value.Format(p.r.System), "by the label sheet"
	}
	return "______", "not known"
}

// facts are the lines below the title, and where their values come from.
func (p *placards) facts(l *job.Label) (lines, sources []string) {
	add := func(name string, stated job.Quantity, kind, term string, dim quantity.Dimension) {
		text, how := p.value(stated, kind, term, dim)
		lines = append(lines, name+" "+text)
		sources = append(sources, name+" "+how)
	}
	j := p.r.Job
	switch l.Kind.Value {
	case "dc-voltage":
		add("largest voltage", l.Voltage, "submittal", "maximum_voltage", quantity.Voltage)
		if l.Current.Known {
			add("largest current", l.Current, "", "", quantity.Current)
		}
	case "ac-output":
		add("output current", l.Current, "interconnection", "output_current", quantity.Current)
		add("voltage", l.Voltage, "interconnection", "voltage", quantity.Voltage)
	case "fault-current":
		add("fault current", l.Current, "site", "fault_current", quantity.Current)
		lines = append(lines, "date ______")
	case "rapid-shutdown", "rapid-shutdown-switch":
		lines = append(lines, "started by the "+orBlank(j.RapidShutdown.Initiator))
	case "directory", "dual-source":
		var names []string
		for i := range j.Disconnects {
			names = append(names, j.Disconnects[i].Name.Value+" at "+orBlank(j.Disconnects[i].Place))
		}
		lines = append(lines, names...)
	default:
		if l.Voltage.Known {
			add("voltage", l.Voltage, "", "", quantity.Voltage)
		}
		if l.Current.Known {
			add("current", l.Current, "", "", quantity.Current)
		}
	}
	return lines, sources
}

func orBlank(g job.Text) string {
	if !g.Known {
		return "______"
	}
	return g.Value
}

// askedBy says which sections a kind of label rests on; where the adopted edition
// has none, that and why, by the checks that look for it.
func (p *placards) askedBy(kind job.Text) string {
	if !kind.Known {
		return "its section depends on its kind"
	}
	if list := p.sections(kind.Value); len(list) > 0 {
		return "wording by " + strings.Join(list, "; ")
	}
	var silent, other []string
	for _, o := range p.checksOf(kind.Value) {
		for _, s := range o.Check.Silent {
			edition := p.r.Adopted[s.Code]
			if text := job.EditionName(s.Code, edition) + " asks for none: " + s.Why; slices.Contains(s.Editions, edition) && !slices.Contains(silent, text) {
				silent = append(silent, text)
			}
		}
		if text := o.Check.ID; !slices.Contains(other, text) {
			other = append(other, text)
		}
	}
	switch {
	case len(silent) > 0:
		return strings.Join(silent, "; ") + ", so that its words are a choice"
	case len(other) > 0:
		return "no section of an adopted edition; looked for by " + strings.Join(other, ", ")
	}
	return "no adopted section asks for it"
}

// checksOf are the outcomes of the checks that name a kind of label.
func (p *placards) checksOf(kind string) []*review.Outcome {
	var out []*review.Outcome
	for i := range p.r.Outcomes {
		o := &p.r.Outcomes[i]
		texts := []string{o.Check.WhenText, o.Check.Measure}
		for _, l := range o.Check.Limits {
			texts = append(texts, l.Text)
		}
		if o.Check.Discipline == "labels" && strings.Contains(strings.Join(texts, " "), `"`+kind+`"`) {
			out = append(out, o)
		}
	}
	return out
}

// sections are the sections that checks of a kind of label cite.
func (p *placards) sections(kind string) []string {
	var out []string
	for _, o := range p.checksOf(kind) {
		for _, c := range o.Cites {
			if s := job.EditionName(c.Code, c.Edition) + " " + c.Section; c.Edition != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// letters are the heights of the letters of the title and of the lines below it,
// metres, and what they are taken from.
func (p *placards) letters(l *job.Label) (title, body float64, says string) {
	// The least is that of a check that applies to this label.
	least := func(measure string) float64 {
		for i := range p.r.Outcomes {
			o := &p.r.Outcomes[i]
			if o.Check.Measure == measure && o.Subject.Name == l.Name.Value && o.Result != review.NotApplicable && o.Limit != nil && o.Limit.IsNum {
				return o.Limit.Value
			}
		}
		return 0
	}
	switch {
	case l.Letter.Known:
		title, says = l.Letter.Value.SI, "as the label sheet says"
	case least("label.letter") > 0:
		title, says = least("label.letter"), "the least that the section lets them have"
	default:
		title, says = placardSmall/pointsInMetre*capitals, "not stated, drawn as small as can be read"
	}
	body = title
	if l.BodyLetter.Known {
		body = l.BodyLetter.Value.SI
	} else if v := least("label.body_letter"); v > 0 && !l.Letter.Known {
		body = v
	}
	return title, body, says
}

// label draws one placard and what stands below it, and gives where that ends.
func (p *placards) label(l *job.Label, y float64) float64 {
	box := p.field()
	title, body, says := p.letters(l)
	words := placardWords[l.Kind.Value]
	if words == "" {
		words = "kind of label not stated"
	}
	facts, sources := p.facts(l)
	big, small := title*pointsInMetre/capitals, body*pointsInMetre/capitals
	const pad = 10.0
	room := box.width() - 20 - 2*pad
	type row struct {
		text string
		size float64
		bold bool
	}
	var rows []row
	for _, s := range svgWrap(strings.ToUpper(words), big, room, true) {
		rows = append(rows, row{s, big, true})
	}
	for _, f := range facts {
		for _, s := range svgWrap(strings.ToUpper(f[:1])+f[1:], small, room, false) {
			rows = append(rows, row{s, small, false})
		}
	}
	width, height := 0.0, 2*pad
	for _, x := range rows {
		width, height = math.Max(width, svgWidth(x.text, x.size, x.bold)), height+x.size*1.25
	}
	notes := p.notes(l, says, title, body, sources, box.width()-24)
	total := height + 14*float64(len(notes)) + 16
	if bottom := p.sheet.height*float64(p.sheets-1) + box.y1; y+total > bottom && y > p.sheet.height*float64(p.sheets-1)+box.y0+8 {
		p.sheets++
		y = p.sheet.height*float64(p.sheets-1) + box.y0 + 6
	}
	frame := svgBox{box.x0 + 10, y + 4, box.x0 + 10 + width + 2*pad, y + 4 + height}
	p.body.put(`<rect class="placard" x="%s" y="%s" width="%s" height="%s" rx="4" %s/>`, SvgNumber(frame.x0), SvgNumber(frame.y0), SvgNumber(frame.width()), SvgNumber(frame.height()), svgStroke(inkLine, 1.5, ""))
	at := frame.y0 + pad
	for _, x := range rows {
		p.body.text(svgText{at: svgPoint{frame.centre().x, at + x.size*0.95}, text: x.text, size: x.size, anchor: "middle", bold: x.bold})
		at += x.size * 1.25
	}
	at = frame.y1 + 4
	for i, n := range notes {
		at += 11
		p.body.text(svgText{at: svgPoint{frame.x0, at}, text: n, size: placardSmall, bold: i == 0, fill: inkText})
	}
	return at + 12
}

// notes are what stands below a placard.
func (p *placards) notes(l *job.Label, says string, title, body float64, sources []string, width float64) []string {
	// A letter is never set lower than a section has it.
	length := func(v float64) string { return tapeUp(v, p.r.System) }
	letters := "letters " + length(title)
	if body != title {
		letters += ", below the title " + length(body)
	}
	colours := p.colours(l.Kind.Value)
	wordings := p.askedBy(l.Kind)
	if l.Reflective.Known && l.Reflective.Value {
		colours += ", reflective"
	}
	out := svgWrap(fmt.Sprintf("label %s, %s, at %s", l.Name.Value, orBlank(l.Kind), orBlank(l.Place)), placardSmall, width, true)
	text := wordings + "; " + letters + ", " + says + "; " + colours
	if len(sources) > 0 {
		text += "; " + strings.Join(sources, ", ")
	}
	return append(out, svgWrap(text, placardSmall, width, false)...)
}
