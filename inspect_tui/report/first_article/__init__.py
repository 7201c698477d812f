"""One first-article result in six forms: HTML, PDF, XLSX, CSV, JSON and QIF."""
