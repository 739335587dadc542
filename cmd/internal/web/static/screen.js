// What a screen is: a module of static/screens, named in app.js, that exports
//
//   load(page)            asks the server; what it gives is handed to view
//   view(page, data)      the screen as a template of lit.js
//   drawn(page, data)     optional: after it stands in the document
//   hears(page, event)    optional: an event of the server for this property; true
//                         says that the screen took it, and nothing is read again
//   leaves(page)          optional: before another screen comes
//
// page holds
//
//   id, head              the property, and what GET /api/p/{id} says of it
//   state                 an object that lasts while the screen stays: what is open,
//                         chosen, typed
//   ask(path), send(path, body)   GET and POST below /api/p/{id}; see api.js
//   redraw(), reload()    view again; load and view again
//   makePlan()            solves the property as it stands and keeps the plan
//   go(path), follow      another screen; the handler of a link to one
//   served(), refresh()   what the server serves; ask for it anew
//   say(text)             tell it to who cannot see: politely
export const screens = {};
