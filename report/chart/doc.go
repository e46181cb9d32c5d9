// Package chart draws the figures of an audit. A figure is a small display
// list in millimetres, made once and rendered by two back ends: vector PDF and
// SVG with a title and a description.
//
// Place in the pipeline: report turns results into the plain inputs of this
// package (labels, numbers, counts already worded) and places the figures on
// its pages. chart decides nothing: what is highlighted, suppressed or too few
// is said by its caller.
//
// Colour never carries meaning alone: styles differ by marker and line as well
// as by hue, the expression scale is printed as a number in its cell, and
// hatching marks what is too few to show.
package chart
