"""Constants of nature, CODATA 2022. scipy.constants has them too, but another year's with each release."""

MU_0 = 1.25663706127e-6  # H/m
EPSILON_0 = 8.8541878188e-12  # F/m
