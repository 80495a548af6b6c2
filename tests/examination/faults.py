"""Every fault that is planted."""

from tests.examination import faults_of_dirt, faults_of_hand, faults_of_judging, faults_of_order, faults_of_water
from tests.examination.fault import Fault

FAULTS: tuple[Fault, ...] = (
    *faults_of_dirt.FAULTS,
    *faults_of_order.FAULTS,
    *faults_of_water.FAULTS,
    *faults_of_hand.FAULTS,
    *faults_of_judging.FAULTS,
)
