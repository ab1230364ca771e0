"""The model: from bones to char, carbon and cash. Pure functions over numpy operators, no files.

Written once over plain operators and read twice: arrays give figures, cells print the live workbook.
"""
