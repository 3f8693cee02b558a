package layout

import (
	"errors"
	"fmt"
	"math"
)

// LineFit is the straight line that lies nearest to a set of points.
type LineFit struct {
	Through   Point // the mean of the points
	Direction Point // unit vector, x positive (y positive where x is zero)
	Largest   float64
	Worst     int       // index of the point at the largest distance, m
	Distances []float64 // of each point from the line, m; positive to the left of Direction
}

// FitLine gives the line with the least sum of squared distances square to it
// (total least squares). Two points lie on their line by definition.
//
// Source: C. M. Shakarji, "Least-Squares Fitting Algorithms of the NIST
// Algorithm Testing System", Journal of Research of the National Institute of
// Standards and Technology 103(6), 1998 (the line through the
// centroid along the principal direction); the angle is the closed form of the
// principal direction in the plane.
//
// Fewer than two points, points that are not numbers, and points without a
// principal direction (all on one place, or spread the same in all directions)
// are errors.
func FitLine(points []Point) (LineFit, error) {
	if len(points) < 2 {
		return LineFit{}, fmt.Errorf("%d points make no line", len(points))
	}
	var mean Point
	for i, p := range points {
		if !p.finite() {
			return LineFit{}, fmt.Errorf("point %d is not a number", i+1)
		}
		mean = mean.add(p)
	}
	mean = mean.scale(1 / float64(len(points)))
	var xx, yy, xy float64
	for _, p := range points {
		d := p.sub(mean)
		xx, yy, xy = xx+d.X*d.X, yy+d.Y*d.Y, xy+d.X*d.Y
	}
	if math.Hypot(xx-yy, 2*xy) <= 1e-12*(xx+yy) || xx+yy < touch*touch {
		return LineFit{}, errors.New("the points have no direction")
	}
	sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	if cos < 0 || cos == 0 && sin < 0 {
		sin, cos = -sin, -cos
	}
	fit := LineFit{Through: mean, Direction: Point{cos, sin}, Distances: make([]float64, len(points))}
	for i, p := range points {
		fit.Distances[i] = fit.Direction.cross(p.sub(mean))
		if d := math.Abs(fit.Distances[i]); d > fit.Largest {
			fit.Largest, fit.Worst = d, i
		}
	}
	return fit, nil
}

// LevelFit is the plane, or the straight line, that lies nearest to measured
// heights. Lengths are in metres.
type LevelFit struct {
	Slopes     Point     // rise for each metre of x and of y
	Deviations []float64 // of each height from the fit, positive above
	Highest    int       // index of the highest above the fit
	Lowest     int       // index of the lowest below it
	Range      float64   // highest deviation less the lowest
	Line       bool      // all points stand on one line; the fit is along it
}

// FitLevel fits a plane z = c + a x + b y to heights by least squares of the
// height, or a straight line along the points where all stand within 10 mm of
// one. Heights are measured square to the roof, which is the way that studs
// adjust. The range is what the studs must take up to bring all of them onto the
// fit; since another plane may need slightly less, a range inside the
// adjustment range is proof that the array can be levelled.
//
// Three or more points are asked for (any two heights are level); points and
// heights that are not numbers, or points on one place, are errors.
func FitLevel(points []Point, heights []float64) (LevelFit, error) {
	if len(points) != len(heights) {
		return LevelFit{}, fmt.Errorf("%d heights for %d points", len(heights), len(points))
	}
	if len(points) < 3 {
		return LevelFit{}, fmt.Errorf("%d heights show no level", len(points))
	}
	line, lineErr := FitLine(points)
	var mean Point
	var meanHeight float64
	for i, p := range points {
		if !p.finite() || !finite(heights[i]) {
			return LevelFit{}, fmt.Errorf("point %d or its height is not a number", i+1)
		}
		mean, meanHeight = mean.add(p), meanHeight+heights[i]
	}
	n := float64(len(points))
	mean, meanHeight = mean.scale(1/n), meanHeight/n
	var xx, yy, xy, xz, yz, zAlong, along float64
	for i, p := range points {
		d, z := p.sub(mean), heights[i]-meanHeight
		xx, yy, xy = xx+d.X*d.X, yy+d.Y*d.Y, xy+d.X*d.Y
		xz, yz = xz+d.X*z, yz+d.Y*z
		if lineErr == nil {
			t := d.dot(line.Direction)
			along, zAlong = along+t*t, zAlong+t*z
		}
	}
	fit := LevelFit{Deviations: make([]float64, len(points))}
	switch {
	case lineErr == nil && line.Largest < sameLine:
		fit.Line = true
		fit.Slopes = line.Direction.scale(zAlong / along)
	case xx*yy-xy*xy <= 1e-12*(xx+yy)*(xx+yy):
		return LevelFit{}, errors.New("the points stand on one place")
	default:
		det := xx*yy - xy*xy
		fit.Slopes = Point{(xz*yy - yz*xy) / det, (yz*xx - xz*xy) / det}
	}
	for i, p := range points {
		fit.Deviations[i] = heights[i] - meanHeight - fit.Slopes.dot(p.sub(mean))
		if fit.Deviations[i] > fit.Deviations[fit.Highest] {
			fit.Highest = i
		}
		if fit.Deviations[i] < fit.Deviations[fit.Lowest] {
			fit.Lowest = i
		}
	}
	fit.Range = fit.Deviations[fit.Highest] - fit.Deviations[fit.Lowest]
	return fit, nil
}
