"""The pages of the results workbook, one module each, in the order of the questions they answer."""
