// Package flat is the geometry of a plane on which shapes are repaired and
// measured: points, boxes, segments and how they meet, trees of edges, areas of
// overlapping rings, the nearest edge, the widest circle. It knows no earth.
package flat
