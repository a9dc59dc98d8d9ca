#pragma once
#include "tests/gui/pages_session.h"
#include "ui/controls/fold.h"
#include "ui/controls/row_list.h"
#include "ui/model/session_results.h"
#include "ui/controls/page.h"

#include <QLabel>
#include <QLineEdit>
#include <QTemporaryDir>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>
#include <memory>

namespace pages_session {

/// A page in front of a session that is open for writing, used by real keys and clicks.
template <class PageType> class InFront {
public:
    explicit InFront(const session::Document& document = pages_session::document())
    {
        REQUIRE(m_folder.isValid());
        QObject::connect(&model, &ui::SessionModel::problem, [this](const QString& sentence) { problems << sentence; });
        REQUIRE(openIn(model, m_folder.path(), document));
        if constexpr (std::is_constructible_v<PageType, ui::SessionModel&, ui::SessionResults&>)
            page = std::make_unique<PageType>(model, *results);
        else
            page = std::make_unique<PageType>(model);
        REQUIRE(settled(model));
        QObject::connect(page.get(), &ui::Page::problem, [this](const QString& sentence) { problems << sentence; });
        QObject::connect(page.get(), &ui::Page::goTo, [this](const QString& name) { wentTo << name; });
        QObject::connect(page.get(), &ui::Page::trialAsked,
                         [this](qint64 trial) { trialAsked = session::TrialId{trial}; });
        page->resize(1280, 690);
        page->show();
        page->activateWindow();
        REQUIRE(QTest::qWaitForWindowActive(page.get()));
        page->entered();
        REQUIRE(settled(model));
    }

    const session::Document& document() const { return *model.document(); }
    QString folder() const { return m_folder.path(); }
    template <class Widget> Widget* child(const char* name) const
    {
        auto* found = page->template findChild<Widget*>(QString::fromLatin1(name));
        REQUIRE(found);
        return found;
    }
    ui::RowList* list(const char* spoken) const
    {
        for (auto* list : page->template findChildren<ui::RowList*>(QString()))
            if (list->accessibleName() == QString::fromLatin1(spoken))
                return list;
        FAIL("no list named " << spoken);
        return nullptr;
    }
    /// A label on the page, in view or not, says this among other words.
    bool says(const char* words) const
    {
        return std::ranges::any_of(page->template findChildren<QLabel*>(), [&](const QLabel* label) {
            return label->text().contains(QString::fromUtf8(words));
        });
    }
    /// The section that folds behind this title, by its key.
    void unfold(const char* title)
    {
        for (auto* head : page->template findChildren<ui::FoldHead*>())
            if (head->text() == QString::fromLatin1(title)) {
                REQUIRE_FALSE(head->isChecked());
                head->setFocus();
                QTest::keyClick(head, Qt::Key_Space);
                REQUIRE(head->isChecked());
                return;
            }
        FAIL("nothing folds behind " << title);
    }
    /// To whatever has the keyboard, as a hand would.
    void key(Qt::Key key, Qt::KeyboardModifiers modifiers = {})
    {
        QWidget* target = page->focusWidget() ? page->focusWidget() : page.get();
        QTest::keyClick(target, key, modifiers);
        REQUIRE(settled(model));
    }
    void type(QLineEdit* edit, const char* text)
    {
        edit->setFocus();
        edit->selectAll();
        QTest::keyClicks(edit, QString::fromLatin1(text));
    }
    void undo()
    {
        model.undo();
        REQUIRE(settled(model));
    }
    void click(QWidget* widget)
    {
        QTest::mouseClick(widget, Qt::LeftButton);
        REQUIRE(settled(model));
    }

private:
    QTemporaryDir m_folder; // outlives the session in it

public:
    ui::SessionModel model;
    ui::SessionResults* results = new ui::SessionResults(model, &model); ///< settled() finds it there
    QStringList problems, wentTo;
    session::TrialId trialAsked;
    std::unique_ptr<PageType> page;
};

} // namespace pages_session
