package electrical

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
)

// Content is like conductors or cables in a raceway. Either the diameter is
// known or the size with its insulation is.
type Content struct {
	Count      int
	Diameter   float64 // m; zero where the tables give the area
	Size       quantity.Size
	Insulation string // "bare" or "bare solid" for a bare conductor
}

// ParseContents reads what is in a raceway: parts parted by commas, each a
// count, an x and a conductor ("4x10 THWN-2"), a bare one ("1x10 bare", "1x10
// bare solid") or an outside diameter ("4x0.28 in") for cables that the tables
// do not have, such as PV wire and multiconductor cables. The equipment ground
// is a conductor as any other.
func ParseContents(text string) ([]Content, error) {
	var contents []Content
	for _, part := range strings.Split(text, ",") {
		c, err := parseContent(strings.TrimSpace(part))
		if err != nil {
			return nil, err
		}
		contents = append(contents, c)
	}
	return contents, nil
}

func parseContent(part string) (Content, error) {
	bad := func(why string) (Content, error) {
		return Content{}, outside(`conductors %q: %s; expected such as "4x10 THWN-2", "1x10 bare" or "4x0.28 in"`, part, why)
	}
	count, what, ok := strings.Cut(part, "x")
	n, err := strconv.Atoi(strings.TrimSpace(count))
	if !ok || err != nil || n < 1 {
		return bad("no count before an x")
	}
	what = strings.TrimSpace(what)
	if d, err := quantity.Parse(what, quantity.Length); err == nil {
		if !(d.SI > 0) {
			return bad("the diameter is not above zero")
		}
		return Content{Count: n, Diameter: d.SI}, nil
	}
	size, insulation, ok := strings.Cut(what, " ")
	if rest := strings.TrimSpace(insulation); strings.HasPrefix(strings.ToLower(rest), "awg ") || strings.HasPrefix(strings.ToLower(rest), "kcmil ") {
		unit, after, _ := strings.Cut(rest, " ")
		size, insulation = size+" "+unit, after
	}
	s, err := quantity.ParseSize(size)
	if err != nil {
		return bad(err.Error())
	}
	if !ok || strings.TrimSpace(insulation) == "" {
		return bad("no insulation is named")
	}
	return Content{Count: n, Size: s, Insulation: strings.TrimSpace(insulation)}, nil
}

// Fill is how full a raceway is.
type Fill struct {
	Basis
	Raceway, TradeSize string
	Contents           []Content
	Areas              []float64 // m2, of one conductor of each of Contents
	Conductors         int
	ConductorArea      float64 // m2
	RacewayArea        float64 // m2
	Nipple             bool
	Share              float64 // of the raceway's area
	Limit              float64 // the same
	Met                bool
}

// RacewayTypes lists the raceway types that the edition's table has.
func (c *Code) RacewayTypes() []string {
	var types []string
	if t := c.table(tableRaceway); t != nil {
		for _, row := range t.Rows {
			if kind, _, _ := strings.Cut(row.Key, " "); !contains(types, kind) {
				types = append(types, kind)
			}
		}
	}
	return types
}

// RacewayFill gives the share of a raceway that conductors fill and its limit:
// by their count, or that of a nipple (24 in or less in length). A bare
// conductor is taken as stranded unless said to be solid, which is the larger.
// Source: NEC Chapter 9 Tables 1, 4, 5 and 8 with the notes.
func (c *Code) RacewayFill(raceway, tradeSize string, contents []Content, nipple bool) (Fill, error) {
	r := c.reader()
	f := Fill{Raceway: raceway, TradeSize: tradeSize, Contents: contents, Nipple: nipple}
	for _, content := range contents {
		r.needCount("the count of conductors", content.Count)
		a := r.contentArea(content)
		f.Areas = append(f.Areas, a)
		f.Conductors += content.Count
		f.ConductorArea += float64(content.Count) * a
	}
	r.needCount("the count of conductors", f.Conductors)
	f.RacewayArea = r.racewayArea(raceway, tradeSize)
	f.Share = f.ConductorArea / f.RacewayArea
	f.Limit = r.amount(tableFill, fillRow(f.Conductors, nipple))
	f.Met = quantity.AtMost(f.Share, f.Limit)
	f.Basis = r.basis()
	return f, r.err
}

func fillRow(conductors int, nipple bool) string {
	switch {
	case nipple:
		return "nipple"
	case conductors == 1:
		return "one"
	case conductors == 2:
		return "two"
	}
	return "over two"
}

// contentArea is the cross-section of one conductor or cable, in m2.
func (r *reader) contentArea(c Content) float64 {
	switch {
	case c.Diameter != 0:
		r.need("the diameter", c.Diameter)
		return math.Pi * c.Diameter * c.Diameter / 4
	case strings.EqualFold(c.Insulation, "bare"):
		return r.quantity(tableBareArea, c.Size.Key(), "stranded")
	case strings.EqualFold(c.Insulation, "bare solid"):
		return r.quantity(tableBareArea, c.Size.Key(), "solid")
	}
	in := r.insulation(c.Insulation, Unstated)
	if r.err == nil && in.AreaTable == "" {
		r.fail(outside(`%s is not in Chapter 9 Table 5; give its outside diameter, such as "%dx0.28 in"`, in.Name, c.Count))
	}
	return r.quantity(in.AreaTable, c.Size.Key(), in.AreaColumn)
}

// racewayArea is the whole inside area of a raceway, in m2.
func (r *reader) racewayArea(raceway, tradeSize string) float64 {
	t := r.table(tableRaceway)
	if t == nil {
		return math.NaN()
	}
	types := r.code.RacewayTypes()
	if !contains(types, raceway) {
		r.fail(outside("raceway %q is not known%s (known: %s)", raceway, quantity.DidYouMean(raceway, types), strings.Join(types, ", ")))
		return math.NaN()
	}
	size := tradeSizeKey(tradeSize)
	if key := raceway + " " + size; t.Has(key) {
		return r.quantity(tableRaceway, key, "area")
	}
	r.fail(outside("%s has no trade size %q; expected such as 3/4 or 1-1/4", raceway, tradeSize))
	return math.NaN()
}

// tradeSizeKey writes a trade size as the table does: `1 1/4 in` is 1-1/4.
func tradeSizeKey(text string) string {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(text), "in"), `"`))
	return strings.ReplaceAll(text, " ", "-")
}

// Work gives the calculation.
func (f Fill) Work(sys quantity.System) []string {
	var lines []string
	for i, c := range f.Contents {
		name := c.Size.String() + " " + c.Insulation
		if c.Diameter != 0 {
			name = "diameter " + length(c.Diameter, sys)
		}
		lines = append(lines, fmt.Sprintf("%d x %s: %d x %s = %s", c.Count, name, c.Count, area(f.Areas[i], sys), area(float64(c.Count)*f.Areas[i], sys)))
	}
	why := fmt.Sprintf("%d conductors", f.Conductors)
	if f.Nipple {
		why = "nipple"
	}
	return append(lines,
		fmt.Sprintf("fill = %s / %s = %s", area(f.ConductorArea, sys), area(f.RacewayArea, sys), percent(f.Share)),
		fmt.Sprintf("limit for %s: %s", why, compare(percent(f.Share), percent(f.Limit), f.Met)))
}
