"""What the bytes of an export are: lines of cells, a workbook, JSON, the ICAR ADE standard."""
