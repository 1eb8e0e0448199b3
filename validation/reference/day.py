"""Air, gloss and the working day (psychrolib, numpy, scipy.integrate)."""

import cmath
import math

import numpy as np
import psychrolib
from scipy import integrate

from question import Question, close

psychrolib.SetUnitSystem(psychrolib.SI)
SEA_LEVEL_PA = 101_325


def dew_points(dice):
    questions = []
    while len(questions) < 40:
        air, humid = round(dice.uniform(0, 50), 1), round(dice.uniform(10, 100), 1)
        dew = psychrolib.GetTDewPointFromRelHum(air, humid / 100)
        # Below 0 °C the library gives the frost point, which is another question.
        if dew > 0:
            # The two formulas for saturated vapour are known to differ by up to 0.042 K.
            questions.append(Question("dew_point_c", {"air_c": air, "humidity_pct": humid}, dew, 0.045))
    return questions


def water(dice):
    questions = []
    for _ in range(25):
        air, humid = round(dice.uniform(1, 45), 1), round(dice.uniform(10, 100), 1)
        pressure = psychrolib.GetVapPresFromRelHum(air, humid / 100)
        grams = pressure / (461.52 * (air + 273.15)) * 1e3
        # Our formula for saturated vapour states 0.083 %; gas constants differ by 0.005 %.
        questions.append(close("water_g_m3", {"air_c": air, "humidity_pct": humid}, grams, 0.0012))
    return questions


def wet_bulbs(dice):
    questions = []
    while len(questions) < 20:
        dry = round(dice.uniform(12, 35), 1)
        wet = round(dry - dice.uniform(0.5, 5), 1)
        dew = psychrolib.GetTDewPointFromTWetBulb(dry, wet, SEA_LEVEL_PA)
        if dew > 3:
            # Known: a wetted wick (0.00067 per kelvin) stands 4 % over the ideal wet bulb.
            drop_pa = psychrolib.GetSatVapPres(wet) - psychrolib.GetSatVapPres(dew)
            slope = (psychrolib.GetSatVapPres(dew + 0.5) - psychrolib.GetSatVapPres(dew - 0.5))
            asked = {"dry_c": dry, "wet_c": wet, "pressure_pa": SEA_LEVEL_PA}
            questions.append(Question("dew_point_from_wet_bulb_c", asked, dew, 0.06 * drop_pa / slope + 0.045))
    return questions


def fresnel(dice):
    """Amplitudes by Snell's law, not by the formula with g."""
    questions = []
    for _ in range(10):
        index = round(dice.uniform(1.3, 1.7), 4)
        for angle in [20, 60, 85]:
            into = math.radians(angle)

            def mirrored(n):
                out = cmath.asin(math.sin(into) / n)
                across = cmath.sin(into - out) / cmath.sin(into + out)
                along = cmath.tan(into - out) / cmath.tan(into + out)
                return (abs(across) ** 2 + abs(along) ** 2) / 2

            asked = {"index": index, "angle_deg": angle}
            questions.append(close("mirrored_pct", asked, 100 * mirrored(index), 1e-10))
            questions.append(close("smooth_gloss", asked, 100 * mirrored(index) / mirrored(1.567), 1e-10))
    return questions


def roughness(dice):
    """Mean of the phase over heights drawn as a bell curve, by quadrature."""
    questions = []
    for _ in range(8):
        sigma, wave = round(dice.uniform(2, 80), 1), float(round(dice.uniform(450, 650)))
        for angle in [20, 60, 85]:
            phase = 4 * math.pi * math.cos(math.radians(angle)) / wave
            bell = lambda z: math.exp(-z * z / 2) / math.sqrt(2 * math.pi) * math.cos(phase * sigma * z)
            field = integrate.quad(bell, -12, 12, epsabs=1e-14, limit=400)[0]
            asked = {"roughness_nm": sigma, "wavelength_nm": wave, "angle_deg": angle}
            questions.append(Question("roughness_factor", asked, field**2, 1e-10))
    return questions


def vibration(dice):
    questions = []
    for _ in range(15):
        count = int(dice.integers(1, 6))
        tools, hours = dice.uniform(1, 15, count).round(2), dice.uniform(0.1, 2, count).round(2)
        # The root of the mean square over eight hours sampled every 36 s.
        trace = np.concatenate([np.full(round(h * 100), a) for a, h in zip(tools, hours, strict=True)])
        a8 = math.sqrt((trace**2).sum() / 800)
        asked = {"vibrations_m_s2": tools.tolist(), "hours": hours.tolist()}
        questions.append(close("vibration_a8", asked, a8, 1e-9))
        questions.append(close("vibration_points", asked, 100 * (a8 / 2.5) ** 2, 1e-9))
    return questions


def noise(dice):
    questions = []
    for _ in range(15):
        count = int(dice.integers(1, 6))
        levels, hours = dice.uniform(65, 105, count).round(1), dice.uniform(0.1, 2, count).round(2)
        # The mean of the squared sound pressure over eight hours.
        pressure = 20e-6 * 10 ** (levels / 20)
        daily = 10 * math.log10((pressure**2 * hours).sum() / 8 / (20e-6) ** 2)
        asked = {"levels_dba": levels.tolist(), "hours": hours.tolist()}
        questions.append(close("noise_daily_level", asked, daily, 1e-10))
        for book, step, criterion in [("niosh", 3, 85), ("osha", 5, 90)]:
            allowed = 8 * 2.0 ** (-(levels - criterion) / step)
            questions.append(close("noise_dose_pct", asked | {"book": book}, 100 * (hours / allowed).sum(), 1e-9))
    return questions


def vapour(dice):
    """The balance of the room, stepped by a general-purpose solver."""
    questions = []
    for _ in range(12):
        bay = {
            "volume_ml": float(round(dice.uniform(10, 300))),
            "density_g_ml": 0.785,
            "evaporation_min": float(round(dice.uniform(5, 60))),
            "bay_m3": float(round(dice.uniform(40, 300))),
            "air_changes_per_hour": round(dice.uniform(0, 8), 1),
            "mixing": round(dice.uniform(1, 5), 1),
            "after_min": float(round(dice.uniform(2, 120))),
        }
        release_s, after_s = bay["evaporation_min"] * 60, bay["after_min"] * 60
        rate = bay["volume_ml"] * bay["density_g_ml"] * 1e3 / release_s / bay["bay_m3"]
        change = bay["air_changes_per_hour"] / 3600 / bay["mixing"]
        level, start = 0.0, 0.0
        for end, source in [(min(release_s, after_s), rate), (after_s, 0.0)]:
            if end > start:
                run = integrate.solve_ivp(lambda _t, c, s=source: s - change * c, (start, end), [level], rtol=1e-10, atol=1e-10)
                level, start = float(run.y[0, -1]), end
        questions.append(close("vapour_in_bay_mg_m3", bay, level, 1e-6, 1e-6))
    return questions


GROUPS = [
    ("dew point (psychrolib)", dew_points),
    ("water in the air (psychrolib)", water),
    ("dew point from two thermometers (psychrolib)", wet_bulbs),
    ("mirrored light and gloss (Snell's law)", fresnel),
    ("mirrored light of a rough film (quadrature)", roughness),
    ("vibration of a day (numpy)", vibration),
    ("noise of a day (numpy)", noise),
    ("solvent vapour in a bay (scipy.integrate.solve_ivp)", vapour),
]
