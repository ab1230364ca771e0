"""The model: from bones to char, carbon and cash. Pure functions over numpy operators, no files.

Everything from tonnes to cash is written once over plain operators and read twice: with arrays it is the base
case, a table or a million samples; with cells it prints the live workbook.
"""
