package draft

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// New makes the job of a set of answers: its tables, wired to one another by
// name, with the values that were said and those that follow from them. What
// else there is to say is left open. The error has every fault of the answers.
// Files of equipment that the answers name are read, by their names as seen from
// the working folder.
func New(a Answers) (*Document, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	s := &sketch{a: a, d: &Document{}, known: &job.Job{}}
	var faults source.Faults
	s.planes, faults = planesOf(a)
	s.faults = append(s.faults, faults...)
	s.readEquipment()
	s.choose()
	s.layOut()
	if err := s.faults.Err(); err != nil {
		return nil, err
	}
	s.job()
	s.roof()
	s.equipment()
	s.arrays()
	if a.of("scheme") == ofMicros {
		s.micros()
	} else {
		s.inverters()
	}
	s.service()
	s.papers()
	return s.d, nil
}

// sketch is a job while it is made of answers.
type sketch struct {
	a      Answers
	d      *Document
	faults source.Faults

	planes []plane
	grids  []array
	known  *job.Job // equipment of the files that the answers name

	output  string // name of the last circuit before the service, as TOML writes it
	devices []bool // overcurrent devices so far: whether each is like the first
}

// array is a grid of modules with its name, and the modules or microinverters
// that the strings or branch circuits have not taken of it yet.
type array struct {
	grid
	name string
	left int
}

func (s *sketch) fault(question, expected, format string, a ...any) {
	s.faults = append(s.faults, fault(question, fmt.Sprintf(format, a...), expected))
}

// put adds a table of the model.
func (s *sketch) put(key, note string) *Table {
	f, _ := fieldOf(key)
	return s.d.Add(&Table{Key: key, List: f.Kind == job.KindTables, Note: note})
}

// answered states the keys of a table that the answers give.
func (s *sketch) answered(t *Table) *Table { return s.answeredFor(t, "") }

// answeredFor leaves out the answers that are for circuits of the other side.
func (s *sketch) answeredFor(t *Table, side string) *Table {
	for _, q := range Questions() {
		table, key := splitKey(q.key)
		if table == t.Key && !t.states(key) && (q.side == "" || q.side == side) {
			if answer := s.a.of(q.Name); answer != "" {
				t.Set(key, q.toml(answer))
			}
		}
	}
	return t
}

// faultsOf gives the faults of an error, or one of the question that led to it.
func faultsOf(err error, question string) source.Faults {
	var faults source.Faults
	if errors.As(err, &faults) {
		return faults
	}
	return source.Faults{fault(question, err.Error(), "")}
}

// splitKey parts the last of a key from the table that it stands in.
func splitKey(key string) (table, last string) {
	i := strings.LastIndexByte(key, '.')
	return key[:max(i, 0)], key[i+1:]
}

// layOut names the arrays, and holds the strings or branch circuits against the
// modules that they have.
func (s *sketch) layOut() {
	grids, err := arraysOf(s.a.of("array"))
	if err != nil {
		return // said before
	}
	var names []string
	for _, p := range s.planes {
		names = append(names, p.name)
	}
	modules := 0
	for i := range grids {
		if at := slices.IndexFunc(names, func(name string) bool { return strings.EqualFold(name, grids[i].plane) }); at >= 0 {
			grids[i].plane = names[at]
			s.holdSetbacks(&grids[i], &s.planes[at])
		}
	}
	for i, g := range grids {
		if !slices.Contains(names, g.plane) {
			s.fault("array", "one of "+strings.Join(names, ", ")+" is expected", "a %s roof has no plane %q", s.a.of("roof"), g.plane)
		}
		name, alike := g.plane, 0
		for j, other := range grids {
			if other.plane == g.plane {
				alike++
				if j == i && alike > 1 {
					name = fmt.Sprintf("%s %d", g.plane, alike)
				}
			}
		}
		s.grids = append(s.grids, array{g, name, g.rows * g.columns})
		modules += g.rows * g.columns
	}
	if s.a.of("scheme") != ofMicros {
		if groups, _ := countsOf(s.a.of("strings")); sum(groups) != modules {
			s.fault("strings", fmt.Sprintf("%d in all are expected", modules), "the strings have %d modules, and the arrays %d", sum(groups), modules)
		}
		return
	}
	each := s.each()
	for i := range s.grids {
		g := &s.grids[i]
		if g.left%each != 0 {
			s.fault("array", "a multiple of that is expected", "%d modules of %q are no whole number of microinverters with %d each", g.left, g.name, each)
		}
		g.left /= each
	}
	if groups, _ := countsOf(s.a.of("branches")); sum(groups) != modules/each {
		s.fault("branches", fmt.Sprintf("%d in all are expected", modules/each), "the branch circuits have %d microinverters, and the arrays %d", sum(groups), modules/each)
	}
}

// holdSetbacks refuses an array that would begin beyond the other end of its
// plane, whatever the size of its modules.
func (s *sketch) holdSetbacks(g *grid, p *plane) {
	across, up := p.extent()
	hold := func(said string, room float64, what string) {
		text, _ := strconv.Unquote(said)                // as job.Quote has it
		v, err := quantity.Parse(text, quantity.Length) // none is no setback
		if err == nil && v.SI >= room {
			s.fault("array", fmt.Sprintf("less than %s is expected", taped(room, unitOf(v))), "the array on %q is %s from the %s, and the plane is no longer", g.plane, text, what)
		}
	}
	hold(g.distance, up, strings.ReplaceAll(strings.TrimPrefix(strings.TrimPrefix(g.high, "above_"), "below_"), "_", " "))
	hold(g.setback, across, strings.TrimPrefix(g.across, "from_"))
}

// take takes modules or microinverters from the arrays in their order: those of each.
func (s *sketch) take(count int) (taken []array) {
	for i := range s.grids {
		g := &s.grids[i]
		if n := min(count, g.left); n > 0 {
			g.left -= n
			count -= n
			taken = append(taken, array{g.grid, g.name, n})
		}
	}
	return taken
}

func (s *sketch) modules() (n int) {
	for _, g := range s.grids {
		n += g.rows * g.columns
	}
	return n
}

// job states who, where and what.
func (s *sketch) job() {
	s.d.Head = append(s.d.Head, head...)
	s.answered(s.put("project", "")).Set("storage", "false")
	s.answered(s.put("adoption", "The code editions in force at the address."))
	s.answered(s.put("site", "Climate and ground."))
	b := s.put("building", "The building that carries the array.")
	b.Set("dwelling", strconv.FormatBool(s.a.of("building") == dwelling))
	if s.a.of("building") != dwelling {
		b.Set("detached_accessory", strconv.FormatBool(s.a.of("building") == accessory))
	}
	s.answered(b)
}

// roof draws the planes. All are like the first that carries modules, but for
// what each states.
func (s *sketch) roof() {
	front, _ := bearingOf(s.a.of("front"))
	length, _ := lengthOf(s.a.of("length"))
	first := slices.IndexFunc(s.planes, func(p plane) bool { return p.name == s.grids[0].plane })
	order := slices.Concat(s.planes[first:first+1], s.planes[:first], s.planes[first+1:])
	for i, p := range order {
		note := ""
		if i == 0 {
			note = "Roof planes, as on a roof plan: x to the east, y to the north, from the left end of the front eave."
		}
		t := s.put("plane", note).Set("name", job.Quote(p.name))
		if i > 0 {
			t.Like(order[0].name)
		}
		t.Set("outline", p.outline(front, unitOf(length)))
		if i == 0 || p.slope != order[0].slope {
			t.Set("slope", job.Quote(p.slope))
		}
		t.Set("downslope", bearing(front+p.turn))
		switch {
		case p.rise > 0:
			eave, _ := lengthOf(s.a.of("eave-height"))
			t.Set("eave_elevation", job.Quote(written(eave.SI+p.rise, unitOf(eave))))
		case i == 0 || order[0].rise > 0:
			t.Set("eave_elevation", job.Quote(s.a.of("eave-height")))
		}
		if i > 0 {
			continue
		}
		s.answered(t)
		s.answered(s.put("plane.covering", ""))
		f := s.put("plane.framing", "")
		// Rafters and trusses run up the slope and purlins along the eave by what they are.
		switch s.a.of("framing") {
		case "rafter", "truss":
			f.Set("runs", job.Quote("up-slope"))
		case "purlin":
			f.Set("runs", job.Quote("along-eave"))
		}
		s.answered(f)
		if s.a.of("framing-material") == "steel" {
			f.Leave("runs", "thickness", "tensile")
		}
	}
}

// readEquipment reads the files or the folder of equipment, to know which types
// they have.
func (s *sketch) readEquipment() {
	said := s.a.of("equipment")
	var files []string
	if info, err := os.Stat(filepath.FromSlash(said)); said != "" && err == nil && info.IsDir() {
		s.d.Folder = said
		inside, _ := filepath.Glob(filepath.Join(filepath.FromSlash(said), "*.toml")) // whose one error is a bad pattern, which names no file
		files = append(files, inside...)
		if len(files) == 0 {
			s.fault("equipment", "a folder with files such as modules.toml is expected", "%q holds no TOML file", said)
		}
	} else {
		for _, file := range strings.Split(said, ",") {
			if file = strings.TrimSpace(file); file != "" {
				files = append(files, file)
				s.d.Includes = append(s.d.Includes, file)
			}
		}
	}
	var names []string
	for _, file := range files {
		seen, err := seenFrom(".", file)
		if err != nil {
			s.fault("equipment", "a file that can be named from the working folder is expected", "%q: %v", file, err)
			continue
		}
		names = append(names, job.Quote(seen))
	}
	if len(names) == 0 {
		return
	}
	known, err := job.Parse("equipment", []byte("include = "+list(names)+"\nproject.name = \"equipment\"\n"), job.ReadFile)
	if err != nil {
		s.faults = append(s.faults, faultsOf(err, "equipment")...)
		return
	}
	s.known = known
}

// typeOf is the name of a type of equipment: the one that was said, else the
// only one that the files of equipment have, else that of an entry to fill in.
func (s *sketch) typeOf(question string) string {
	if answer, said := s.a[question]; said {
		return strings.TrimSpace(answer)
	}
	if names := s.types(question); len(names) == 1 {
		return names[0]
	}
	return s.a.of(question)
}

// types are the names of what the files of equipment have for a question.
func (s *sketch) types(question string) (names []string) {
	switch question {
	case "module":
		return namesOf(s.known.ModuleTypes, func(t *job.ModuleType) job.Text { return t.Name })
	case "inverter":
		fit := slices.DeleteFunc(slices.Clone(s.known.InverterTypes), func(t job.InverterType) bool {
			return t.Kind.Known && t.Kind.Value != s.a.of("scheme")
		})
		return namesOf(fit, func(t *job.InverterType) job.Text { return t.Name })
	case "converter":
		return namesOf(s.known.ConverterTypes, func(t *job.ConverterType) job.Text { return t.Name })
	case "mounting":
		return namesOf(s.known.MountingTypes, func(t *job.MountingType) job.Text { return t.Name })
	}
	return namesOf(s.known.FastenerTypes, func(t *job.FastenerType) job.Text { return t.Name })
}

func namesOf[T any](list []T, name func(*T) job.Text) (names []string) {
	for i := range list {
		names = append(names, name(&list[i]).Value)
	}
	return names
}

// ballasted reports whether the arrays stand by their weight, as was said or as
// their mounting does.
func (s *sketch) ballasted() bool {
	for i := range s.known.MountingTypes {
		if t := &s.known.MountingTypes[i]; t.Name.Value == s.typeOf("mounting") && t.Kind.Known {
			return t.Kind.Value == "ballast"
		}
	}
	return s.a.of("mounting-kind") == "ballast"
}

// wanted lists the questions that name a type which this job uses.
func (s *sketch) wanted() (questions []string) {
	for _, question := range []string{"module", "inverter", "converter", "mounting", "fastener"} {
		if find(question).Asked(s.a) && !(question == "fastener" && s.ballasted()) {
			questions = append(questions, question)
		}
	}
	return questions
}

// equipment leaves the types open that no file has.
func (s *sketch) equipment() {
	for _, question := range s.wanted() {
		if slices.Contains(s.types(question), s.typeOf(question)) {
			continue
		}
		t := s.put(question+"_type", "").Set("name", job.Quote(s.typeOf(question)))
		if question == "inverter" {
			t.Set("kind", job.Quote(s.a.of("scheme")))
		}
		s.answered(t)
	}
}

// choose refuses files of equipment that have several types to choose from.
func (s *sketch) choose() {
	for _, question := range s.wanted() {
		_, said := s.a[question]
		if names := s.types(question); !said && len(names) > 1 {
			s.fault(question, "one of "+strings.Join(names, ", ")+" is expected, or the name of an entry to fill in", "the files of equipment have several")
		}
	}
}

// arrays places the modules by their setbacks, and the feet by what they stand on.
func (s *sketch) arrays() {
	first := s.grids[0]
	for i, g := range s.grids {
		note := ""
		if i == 0 {
			note = "Arrays: row 1 is the lowest, column 1 the leftmost seen looking up the slope."
		}
		t := s.put("array", note).Set("name", job.Quote(g.name))
		if i == 0 {
			t.Set("plane", job.Quote(g.plane)).Set("module", job.Quote(s.typeOf("module"))).Set("mounting", job.Quote(s.typeOf("mounting")))
		} else {
			t.Like(first.name, "attachments.count", "wire_clips", "bonding_parts").Set("plane", job.Quote(g.plane))
		}
		t.Set("rows", strconv.Itoa(g.rows)).Set("columns", strconv.Itoa(g.columns))
		if g.orientation != "" {
			t.Set("orientation", job.Quote(g.orientation))
		}
		if g.high != "" {
			t.Set("across", job.Quote(g.across))
			if g.setback != "" {
				t.Set("setback_"+strings.TrimPrefix(g.across, "from_"), g.setback)
			}
			t.Set(g.high, g.distance)
		}
		t.Set("modules", strconv.Itoa(g.rows*g.columns))
		if i == 0 {
			s.answered(t)
			s.feet()
		}
		s.lugs(g)
	}
}

// lugs stand at one end of each row.
func (s *sketch) lugs(g array) {
	column := map[string]int{"left": 1, "right": g.columns}[s.a.of("lugs")]
	for row := 1; row <= g.rows && column > 0; row++ {
		s.answered(s.put("array.lug", "").Set("row", strconv.Itoa(row)).Set("column", strconv.Itoa(column)))
	}
}

// feet stand on ribs or members, where the answers say so.
func (s *sketch) feet() {
	if s.ballasted() {
		return
	}
	f := s.put("array.attachments", "").Set("fastener", job.Quote(s.typeOf("fastener")))
	if feet, err := feetOf(s.a.of("feet")); err == nil {
		f.Set("every", strconv.Itoa(feet.every)).Set("on", job.Quote(feet.on))
		if feet.staggered {
			f.Set("staggered", "true")
		}
	}
	s.answered(f)
}
