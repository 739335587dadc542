// Package web serves properties to a browser on the same machine: the page.
//
// A property file or a folder of them enters as Options; a Server leaves, which
// listens on the loopback addresses alone. Handlers read a request, call the layer
// (cmd/internal/app) and write what it gives as JSON: the types of report/view and
// the tables of report/table, the same values as the commands print with --json. No
// rule of the job lives here.
//
// # Who may ask
//
// The address that is printed holds a random token. It becomes a cookie that scripts
// cannot read and other sites cannot send; without it every request is refused, and
// so is one whose Host is not the loopback name and port, and a write that another
// site asks for. See guard.go.
//
// # What is asked
//
//	GET  /api/properties             the properties that are served
//	GET  /api/events                 server-sent events, with ids to resume at
//	GET  /api/p/{id}/…               a property: head, season, plan, map, units, …
//	POST /api/p/{id}/…               a change of it, in one transaction of the layer
//
// An error is the JSON document that the commands print, under a status that says
// what kind it is; see fault.go.
//
// # How a screen is added
//
// What it shows is a method of app.Session. Add a line to the routes in api.go that
// calls it, inside property.read (answers are kept until the data change) or
// property.change (one change at a time; others see it through an event). Then add
// static/screens/NAME.js, which exports what static/screen.js describes: load asks
// the server, view gives the screen as a lit-html template, where every value is
// text and never markup. Add its name to screens in static/app.js, which fetches it
// when it is opened: a screen that is not finished has no line there. Whatever shows a window, a date or a prescription
// ends with cautions() of static/parts.js.
//
// Work that takes long tells how far it has come through property.say, which all tabs
// hear; property.solve gives it the one place in which a property solves.
package web
