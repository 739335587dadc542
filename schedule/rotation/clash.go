package rotation

import (
	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
)

// findClashes names the locks that cannot stand together; none means that a
// plan exists.
func findClashes(p *problem.Problem) []problem.Clash { return clash.Find(p) }
