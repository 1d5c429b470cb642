// Package grid opens files and hands on their sheets as rows of text: text
// files in any usual encoding and separator, and workbooks. It knows the limits
// of what is read and nothing of what the cells mean.
package grid
