"""Papers of trends: the chart of one size, and the month's sheet of wear, repairs and work orders."""

from inspect_tui.report.trends.chart_svg import chart_svg
from inspect_tui.report.trends.forms import write_chart, write_sheet

__all__ = ["chart_svg", "write_chart", "write_sheet"]
