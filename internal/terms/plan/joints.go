package plan

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/roofs"
)

// DrawnDoubt is a place at which two planes may or may not meet.
type DrawnDoubt struct {
	Stroke // from one plane to the other
	Text   string
}

// DrawnCover is ground that two planes cover: the common part, with holes in it
// after its outline.
type DrawnCover struct {
	Planes [2]string
	Rings  [][]Spot
}

// DrawnStreet is a street or driveway beside the building.
type DrawnStreet struct {
	Name, Kind string
	Line       []Spot   // nil where it is not drawn
	Bearing    *float64 // degrees clockwise from north; nil where only the line is given
}

// drawJoints gathers where planes lie over one another and where they may or
// may not meet.
func drawJoints(d *Drawing, s *roofs.State) {
	for _, o := range s.Roof.Overlaps() {
		for _, part := range o.Common {
			cover := DrawnCover{Planes: [2]string{s.Roof.Plane(o.A).Name, s.Roof.Plane(o.B).Name}}
			for _, ring := range part {
				var out []Spot
				for _, p := range ring {
					out = append(out, Spot(p))
				}
				cover.Rings = append(cover.Rings, out)
			}
			d.Covered = append(d.Covered, cover)
		}
	}
	for _, x := range s.Roof.Doubts() {
		d.Doubts = append(d.Doubts, DrawnDoubt{Stroke{Spot(x.AtA), Spot(x.AtB)}, x.Text})
	}
}

// drawStreets gathers the streets of the job; the bearing of the site stands
// for one where it lists none.
func drawStreets(c *terms.Call, d *Drawing, j *job.Job) {
	if len(j.Streets) == 0 && terms.Stated(c, j.Site.StreetBearing) {
		bearing := terms.Peek(c, j.Site.StreetBearing).SI
		d.Streets = append(d.Streets, DrawnStreet{Kind: "street", Bearing: &bearing})
	}
	for i := range j.Streets {
		given := &j.Streets[i]
		out := DrawnStreet{Name: given.Name.Value, Kind: terms.Peek(c, given.Kind)}
		if terms.Stated(c, given.Bearing) {
			bearing := terms.Peek(c, given.Bearing).SI
			out.Bearing = &bearing
		}
		if terms.Stated(c, given.Line) {
			for _, p := range terms.Peek(c, given.Line) {
				out.Line = append(out.Line, Spot(p))
			}
		}
		if out.Bearing == nil && len(out.Line) < 2 {
			d.miss("street "+out.Name, []terms.Need{{Key: given.Bearing.Key, At: given.Bearing.At}})
			continue
		}
		d.Streets = append(d.Streets, out)
	}
}
