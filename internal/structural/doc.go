// Package structural computes what holds an array down and what it asks of
// the roof: wind on roof-parallel and tilted arrays, snow, seismic demand,
// the demand of each attachment and the capacity of what it is fixed with.
//
// Values are in base units: lengths m, areas m2, pressures Pa, forces N,
// angles degrees, temperatures degC, temperature differences K. Pressures and
// coefficients away from the roof are negative, towards it positive; a net
// uplift is a positive force away from the roof. Code factors and curves are
// read from tables (internal/table); none stands here.
//
// A function returns an error for an input outside its domain and a
// *ScopeError where the prescriptive method does not reach; neither is ever a
// pass. Every result says its level in its field names: strength (LRFD) or
// allowable (ASD). A licensed engineer of the jurisdiction decides.
package structural
