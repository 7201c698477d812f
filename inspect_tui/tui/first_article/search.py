"""First article: the search for causes beside the screen, and what waits for its answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual import work

from inspect_tui.tui.first_article.keys import FirstArticleKeys
from inspect_tui.tui.first_article.pages import Answer, answer

if TYPE_CHECKING:
    from inspect_tui.model.work import Job


class FirstArticleSearch(FirstArticleKeys):
    """What was found, whether it still counts, and who waits for it."""

    page: str

    def __init__(self) -> None:
        super().__init__()
        self.found = None
        self.searching = False
        self._state = 0  # counts what was changed: an answer to an earlier state is no answer
        self._wish: tuple[str, Callable[[Answer], None]] | None = None  # what waits for the answer, and on which page

    def turn_to(self, page: str) -> None:
        """Show a page."""
        raise NotImplementedError

    def fill_page(self) -> None:
        """Draw the page that is turned to."""
        raise NotImplementedError

    def search_if_needed(self) -> None:
        """Begin a search where a page wants one and what was found no longer counts."""
        if self.page != "readings" and self.found is None and self.sampling is not None and not self.searching:
            self.searching = True
            self.fill_page()
            self._search(self.sampling.job, self.sampling.round.label, self._state)

    @work(thread=True, exclusive=True, group="search")
    def _search(self, job: Job, label: str, state: int) -> None:
        found = answer(self.app.record, job, label)
        self.app.call_from_thread(self._arrived, found, state)

    def out_of_date(self) -> None:
        """What was found no longer counts."""
        self.found = None
        self._state += 1

    def _arrived(self, found: Answer, state: int) -> None:
        self.searching = False
        if self.sampling is None or self._state != state:
            self.search_if_needed()
            return
        self.found = found
        self.fill_page()
        wish, self._wish = self._wish, None
        if wish is not None and self.is_current and self.page == wish[0]:
            self.say("")
            self.with_answer(wish[1])

    def with_answer(self, use: Callable[[Answer], None]) -> None:
        """Use the answer of the search; says so while there is none yet."""
        if self.found is not None and self.found.article is not None:
            use(self.found)
        elif self.found is not None and self.found.problem:
            self.say(self.found.problem)
        else:
            self.turn_to("causes" if self.page == "readings" else self.page)
            self._wish = (self.page, use)
            self.search_if_needed()
            self.say("The search for causes is at work …")
