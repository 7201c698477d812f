"""Who measures with what and when: the calendar, and papers that agree with the scenario."""

from inspect_tui.demo import workshop as shop


def test_the_calendar_has_100_production_weeks_in_24_months() -> None:
    days = [shop.production_day(week) for week in range(1, 101)]
    assert len(set(days)) == 100 and all(day.weekday() == 0 for day in days)
    assert (days[-1] - days[0]).days == 103 * 7
    assert not set(shop.SHUTDOWN_WEEKS) & {day.isoformat() for day in days}
    assert shop.project_day(-1).isoformat() == "2023-08-28" and shop.project_day(1).isoformat() == shop.WEEK_ONE
    assert [shop.week_of_lot(lot) for lot in (1, 180, 181, 400)] == [1, 45, 46, 100]
