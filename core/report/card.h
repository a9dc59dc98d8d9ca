#pragma once
#include "core/analysis/results.h"
#include <string>
#include <vector>

namespace report {

/// One finding that fills a picture: a big figure or verdict with its sentence.
struct Card {
    session::ConfigurationId configuration;
    bool comparison = false; ///< with the baseline; else its mean
    std::string name;        ///< "Wireless bridge"
    std::string headline;    ///< "31.3", "+7.2"; words where a figure would say too much: "not resolved"
    std::string beside;      ///< "± 1.1 ms", "ms"; empty beside words
    std::string below;       ///< what words leave out: "+0.5 ms, −2.9 to +4.0 ms"; may be empty
    std::string sentence;    ///< as in the script
    std::string figures;     ///< likewise, what it rests on
};

/// One for each sentence of the script, in its order.
std::vector<Card> cards(const analysis::Results&);

} // namespace report
