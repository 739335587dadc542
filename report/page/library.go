package page

import _ "embed"

// library is echarts 5.6.0, dist/echarts.min.js of the npm package, unchanged;
// its license and notice lie beside it.
//
//go:embed echarts/echarts.min.js
var library string

// librarySHA256 is what npm's package of echarts 5.6.0 holds.
const librarySHA256 = "bf4a223524e40b77c304bec67e1222cf551f14880cf42c69dc046558e11c07b1"

//go:embed style.css
var style string

//go:embed draw.js
var drawing string

// Library gives the chart library as it is embedded in the pages, for one that serves
// it as a file of its own.
func Library() string { return library }
