"""Reading scenario workbooks and writing templates and results."""
