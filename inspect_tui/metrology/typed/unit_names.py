"""Which words can be units at all, so that a word that plainly is none is refused without loading the units library.

The names are those of the library's default registry (pint) for length, area, volume, flow, mass, density, time,
temperature and angle, folded to small letters; a test compares them with the registry itself. A unit of another kind,
such as an ampere, is none here either.

Source: the names are pint's, what is left out is own derivation.
"""

from __future__ import annotations

import re
from functools import lru_cache

_NAMES = """
    a a0 a_0 a_u_length a_u_mass a_u_temp a_u_time acre acre_feet acre_foot amu angstrom angstrom_star
    angular_degree angular_minute angular_second ap_dr ap_lb ap_oz apothecary_drachm apothecary_dram
    apothecary_ounce apothecary_pound arc_minute arc_second arcdeg arcdegree arcmin arcminute arcsec arcsecond are
    astronomical_unit atomic_mass_constant atomic_unit_of_length atomic_unit_of_mass atomic_unit_of_temperature
    atomic_unit_of_time au avdp_dram avdp_ounce avdp_pound avoirdupois_dram avoirdupois_ounce avoirdupois_pound b
    bag barn barrel bbl bdft beer_barrel beer_bbl bf big_point blob board_feet board_foot bohr bohr_radius bp bu
    bushel cables_length carat cc celsius centimeter centuries century chain cicero circle circular_mil
    classical_electron_radius cmil common_year conventional_mercury_density conventional_water_density cp css_pixel
    ct cu_ft cu_in cu_yd cubic_centimeter cubic_feet cubic_foot cubic_inch cubic_yard cup cwt cycle d da dalton
    darcy day decimeter deg degc degf degk degr degre degree degree_celsius degree_fahrenheit degree_kelvin
    degree_rankine degree_reaumur degree_réaumur degreec degreef degreek degreer degreere delta_celsius delta_degc
    delta_degf delta_degre delta_degree_celsius delta_degree_fahrenheit delta_degree_reaumur delta_degree_réaumur
    delta_degreec delta_degreef delta_degreere delta_fahrenheit delta_reaumur delta_réaumur dgal didot dpi dqt dr
    drachm dram dry_barrel dry_gallon dry_pint dry_quart dwt electron_mass eon fahrenheit fathom fbm feet femtometer
    fermi fifth fldr floz fluid_dram fluid_ounce fluidram fm foot fortnight ft fur furlong g gal gallon gamma_mass
    gi gill gon gr grad grade gradian grain gram gregorian_year h ha hand hectare hogshead hour hr hundredweight
    imperial_barrel imperial_bbl imperial_bu imperial_bushel imperial_cp imperial_cup imperial_fldr imperial_floz
    imperial_fluid_drachm imperial_fluid_dram imperial_fluid_ounce imperial_fluid_scruple imperial_gal
    imperial_gallon imperial_gi imperial_gill imperial_minim imperial_peck imperial_pint imperial_pk imperial_pt
    imperial_qt imperial_quart in inch inches international_feet international_foot international_inch
    international_inches international_mile international_yard jig julian_year k kelvin kilogram kilometer l lambda
    lb lbt league leap_year li light_year lightyear link liquid_cup liquid_gallon liquid_gill liquid_pint
    liquid_quart liter litre long_hundredweight long_ton lunar_month ly m m_e m_n m_p m_u mas mercury_density_0c
    mercury_density_32f mercury_density_60f meter metre metric_ton mi microgram microliter micrometer micron mil
    mil_length mile millennia millennium milliarcsecond milligram min minim minute month nautical_mile neutron_mass
    nmi oil_barrel oil_bbl ounce oz ozt parsec pc peck pennyweight perch pica pint pk planck_length planck_mass
    planck_temperature planck_time point pole pound pp printers_pica printers_point proton_mass pt px qt quart
    quarter r_e rad radian rankine rd reaumur revolution rod réaumur s scaled_point scruple sec second section sft
    shake short_hundredweight short_ton shot sidereal_day sidereal_month sidereal_year sigma_e slinch slug slugette
    smi sq_ft sq_in sq_mi sq_perch sq_pole sq_rod sq_yd square_feet square_foot square_inch square_inches
    square_league square_mile square_rod square_survey_mile square_yard statf statfarad stere stone super_feet
    super_foot superficial_feet superficial_foot survey_foot survey_link survey_mile sv svedberg sverdrup
    synodic_month t tablespoon tbsp teaspoon tex_cicero tex_didot tex_pica tex_point th thomson_cross_section thou
    tlb ton tonne toz tropical_month tropical_year troy_ounce troy_pound tsp turn u uk_bbl uk_bushel uk_cup uk_cwt
    uk_fluid_ounce uk_gallon uk_gill uk_hundredweight uk_pint uk_pk uk_quart uk_ton unified_atomic_mass_unit us_cwt
    us_dry_barrel us_dry_gallon us_dry_pint us_dry_quart us_fluid_dram us_fluid_ounce us_hundredweight us_liquid_cup
    us_liquid_dram us_liquid_fifth us_liquid_gallon us_liquid_gill us_liquid_ounce us_liquid_quart us_pint us_shot
    us_statute_mile us_ton water_density_4c water_density_60f week x_unit_cu x_unit_mo xu_cu xu_mo yard yd year yr
    °c °f °k °r °re µ å å_star ångström δcelsius δdegc δdegf δdegre δdegree_réaumur δdegreec δdegreef δdegreere
    δfahrenheit δreaumur δréaumur δ°c δ°f δ°re λ μ ρh2o ρh2o_4c ρh2o_60f ρhg ρhg_0c ρhg_32f ρhg_60f σ_e ℓ
"""
_PREFIXES = """
    atto centi da deca deci deka demi ei exa exbi femto gi gibi giga hecto ki kibi kilo mc mebi mega mi micro milli mu
    nano pebi peta pi pico quecto quetta ronna ronto semi sesqui tebi tera ti yi yobi yocto yotta zebi zepto zetta
    zi a c d e f g h k m n p q r t u y z µ μ
"""


@lru_cache(maxsize=1)
def _known() -> tuple[frozenset[str], tuple[str, ...]]:
    return frozenset(_NAMES.split()), tuple(_PREFIXES.split())


def can_be_unit(text: str) -> bool:
    """Whether every word of a unit such as kg/m3 or gal/min is a name that the library knows, with or without prefix.

    False is certain: the library knows no such unit of these kinds. True may still be none (an attosecond is "as").
    """
    words = [word for word in re.split(r"[\s/*^·.()-]+", text.lower()) if word]
    return bool(words) and all(_one_word(word) for word in words)


def _one_word(word: str) -> bool:
    names, prefixes = _known()
    bare = word.rstrip("0123456789²³") or word
    spellings = {word, bare, bare.removesuffix("s")}
    if bare.isdecimal() or spellings & names:
        return True
    return any(word.startswith(p) and word[len(p) :] in names for word in spellings for p in prefixes)
