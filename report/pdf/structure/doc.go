// Package structure gives a PDF a logical structure, which the library that draws it
// cannot: headings, paragraphs, lists, tables and figures with a text in their place, so
// that a screen reader reads a paper in order and a program finds its tables (tagged PDF,
// ISO 32000-1, clause 14.8; the roles are those of 14.8.4).
//
// A Tree is told while a paper is drawn which element the next text belongs to, and writes
// the operators of marked content (14.6) around what is drawn; everything else on a page is
// an artifact. When the paper is drawn, Tree.Write copies the objects of the library's file
// and adds the elements (14.7). They go into compressed object streams (7.5.7): one in plain
// text for each cell of a table would double a paper.
package structure
